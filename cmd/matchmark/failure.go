package main

import (
	"errors"
	"fmt"

	"matchmark/compile"
	"matchmark/compile/host/store"
	"matchmark/compile/output"
	"matchmark/compile/preview"
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
		problem: fmt.Sprintf("a fault in matchmark itself (%v)", cause),
		do:      "please report it, with the library if you can, and with what the same command prints with --trace",
		stack:   stack,
	}
	if p, ok := cause.(*parallel.Fault); ok {
		f.problem = fmt.Sprintf("a fault in matchmark itself, met in %s (%v)", p.Input, p.Cause)
		f.do = "please report it, with that file and with what the same command prints with --trace; until then, try to write the place in another way"
		f.stack = p.Stack
	}
	return f
}

// asFailure finds the exit code and the advice for an error.
func asFailure(err error) *failure {
	var known *failure
	var folder *output.Fault
	var address *preview.AddressError
	var ours *compile.InternalError
	switch {
	case errors.As(err, &known):
		return known
	case errors.As(err, &folder):
		return &failure{code: exitWorld, problem: folder.Problem, do: folder.Do}
	case errors.As(err, &address):
		return &failure{code: exitWorld, problem: address.Problem, do: address.Do}
	case errors.As(err, &ours):
		return &failure{
			code: exitOwnFault, problem: "a fault in matchmark itself: " + ours.Error(),
			do: "please report it with the library, or the part of it that shows the fault",
		}
	case errors.Is(err, store.ErrFull):
		return &failure{code: exitWorld, problem: err.Error(), do: "make room on the disk, and try again; what the class handed in until now is whole"}
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
