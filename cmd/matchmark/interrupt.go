package main

import (
	"context"
	"errors"
	"os"
	"os/signal"
	"reflect"
	"syscall"

	"github.com/alecthomas/kong"
)

// errInterrupted is why a command ended that was stopped with Ctrl-C and had no more to say.
var errInterrupted = errors.New("stopped with Ctrl-C")

// runUntilInterrupted runs a command. Ctrl-C ends the context of a command that takes one, so that it can put things in
// order, and any other command at once; whichever it was, the exit code is the same. A second Ctrl-C ends everything.
// Being ended by the system (SIGTERM) is no failure of a command that runs until it is stopped.
func runUntilInterrupted(ctx context.Context, parsed *kong.Context, c *console) error {
	ctx, end := context.WithCancelCause(ctx)
	defer end(nil)
	came := make(chan os.Signal, 1)
	signal.Notify(came, os.Interrupt)
	defer signal.Stop(came)
	tidiesUp := takesContext(parsed)
	if tidiesUp {
		signal.Notify(came, syscall.SIGTERM)
	}
	go func() {
		select {
		case <-ctx.Done():
		case which := <-came:
			if !tidiesUp {
				os.Exit(c.tell(errInterrupted))
			}
			signal.Stop(came)
			if which == os.Interrupt {
				end(errInterrupted)
				return
			}
			end(nil)
		}
	}()
	parsed.BindTo(ctx, (*context.Context)(nil))
	err := parsed.Run()
	var said *failure
	if errors.Is(context.Cause(ctx), errInterrupted) && !errors.As(err, &said) {
		return errInterrupted
	}
	return err
}

// takesContext reports whether the command that was chosen is told when it has to end.
func takesContext(parsed *kong.Context) bool {
	run, ok := parsed.Selected().Target.Addr().Type().MethodByName("Run")
	if !ok {
		return false
	}
	for i := range run.Type.NumIn() {
		if run.Type.In(i) == reflect.TypeFor[context.Context]() {
			return true
		}
	}
	return false
}
