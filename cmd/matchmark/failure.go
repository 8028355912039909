package main

import (
	"errors"
	"fmt"

	"matchmark/compile"
	"matchmark/compile/host/store"
	"matchmark/compile/output"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/parallel"
	"matchmark/procedure/say"
)

// The exit codes. They are explained in the help and in the package's comment.
const (
	exitFine        = 0
	exitLibrary     = 1
	exitUsage       = 2
	exitWorld       = 3
	exitOwnFault    = 4
	exitInterrupted = 130 // 128 + SIGINT, as shells count. Source: POSIX, XCU 2.8.2 (from memory)
)

// failure is why a command did not do its work.
type failure struct {
	code int
	// problem says what is wrong, do what to do about it, which may be empty.
	problem, do say.Text
	// stack is where matchmark itself failed; nil otherwise.
	stack []byte
}

// Error returns what is wrong.
func (f *failure) Error() string { return f.problem.String() }

// newOwnFault makes a failure of a panic, and names the input if it is known.
func newOwnFault(cause any, stack []byte) *failure {
	f := &failure{
		code:    exitOwnFault,
		problem: say.That("internal error of matchmark (%cause)", say.Foreign(fmt.Sprint(cause))),
		do:      say.That("please report it, with the library if you can, and with what the same command prints with --trace"),
		stack:   stack,
	}
	if p, ok := cause.(*parallel.Fault); ok {
		f.problem = say.That("internal error of matchmark, met in %input (%cause)", say.Name(p.Input), say.Foreign(fmt.Sprint(p.Cause)))
		f.do = say.That("please report it, with that file and with what the same command prints with --trace; until then, try to write the place in another way")
		f.stack = p.Stack
	}
	return f
}

// libraryErrors is what a command that has shown its messages comes back with: a
// fault of matchmark's own among them counts for more than those of the library.
func libraryErrors(shown []diagnostic.Diagnostic) error {
	for _, d := range shown {
		if d.Fault != nil {
			f := newOwnFault(d.Fault.Cause, d.Fault.Stack)
			f.problem = say.That("an internal error of matchmark is among the messages: %code", say.Word(d.Code))
			return f
		}
	}
	return compile.ErrDiagnostics
}

// asFailure finds the exit code and the advice for an error.
func asFailure(err error) *failure {
	var known *failure
	var unusable *output.Fault
	var ours *compile.InternalError
	switch {
	case errors.As(err, &known):
		return known
	case errors.As(err, &unusable):
		return &failure{code: exitWorld, problem: unusable.Problem, do: unusable.Do}
	case errors.As(err, &ours):
		return &failure{
			code: exitOwnFault, problem: say.That("internal error of matchmark: %cause", say.Foreign(ours.Error())),
			do: say.That("please report it with the library, or the part of it that shows the fault"),
		}
	case errors.Is(err, store.ErrFull):
		return &failure{code: exitWorld, problem: say.Why(err), do: say.That("free disk space and try again; everything that the class has handed in so far is safe")}
	}
	return &failure{code: exitWorld, problem: say.Why(err)}
}

// tell writes what went wrong and returns the exit code. Errors of the library
// have been shown as messages already.
func (c *console) tell(err error) int {
	switch {
	case err == nil:
		return exitFine
	case errors.Is(err, compile.ErrDiagnostics):
		return exitLibrary
	case errors.Is(err, errInterrupted):
		return exitInterrupted
	}
	f := asFailure(err)
	l := c.spoken()
	fmt.Fprintf(c.err, "matchmark: %s\n", f.problem.In(l))
	if !f.do.Empty() {
		fmt.Fprintf(c.err, "  %s: %s\n", say.That("do").In(l), f.do.In(l))
	}
	if c.trace && f.stack != nil {
		fmt.Fprintf(c.err, "\n%s", f.stack)
	}
	return f.code
}
