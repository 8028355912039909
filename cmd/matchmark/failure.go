package main

import (
	"errors"
	"fmt"

	"matchmark/compile"
	"matchmark/compile/host/store"
	"matchmark/compile/output"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/parallel"
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
	code        int
	problem, do string
	// stack is where matchmark itself failed; nil otherwise.
	stack []byte
}

// Error returns what is wrong.
func (f *failure) Error() string { return f.problem }

// newOwnFault makes a failure of a panic, and names the input if it is known.
func newOwnFault(cause any, stack []byte) *failure {
	f := &failure{
		code:    exitOwnFault,
		problem: fmt.Sprintf("internal error of matchmark (%v)", cause),
		do:      "please report it, with the library if you can, and with what the same command prints with --trace",
		stack:   stack,
	}
	if p, ok := cause.(*parallel.Fault); ok {
		f.problem = fmt.Sprintf("internal error of matchmark, met in %s (%v)", p.Input, p.Cause)
		f.do = "please report it, with that file and with what the same command prints with --trace; until then, try to write the place in another way"
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
			f.problem = "an internal error of matchmark is among the messages: " + string(d.Code)
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
			code: exitOwnFault, problem: "internal error of matchmark: " + ours.Error(),
			do: "please report it with the library, or the part of it that shows the fault",
		}
	case errors.Is(err, store.ErrFull):
		return &failure{code: exitWorld, problem: err.Error(), do: "free disk space and try again; everything that the class has handed in so far is safe"}
	}
	return &failure{code: exitWorld, problem: err.Error()}
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
	fmt.Fprintf(c.err, "matchmark: %s\n", f.problem)
	if f.do != "" {
		fmt.Fprintf(c.err, "  do: %s\n", f.do)
	}
	if c.trace && f.stack != nil {
		fmt.Fprintf(c.err, "\n%s", f.stack)
	}
	return f.code
}
