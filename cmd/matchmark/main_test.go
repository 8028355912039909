package main

import (
	"bytes"
	"context"
	"fmt"
	"runtime/debug"
	"strings"
	"testing"

	"github.com/alecthomas/kong"
	"gotest.tools/v3/assert"

	"matchmark/procedure/parallel"
)

// A fault of our own is told without a dump, and names the input when it is known.
func TestOwnFault(t *testing.T) {
	for name, c := range map[string]struct {
		cause any
		want  string
	}{
		"unknown input": {"index out of range", "matchmark: internal error of matchmark (index out of range)\n  do: please report it"},
		"known input":   {&parallel.Fault{Input: "machines/oven.md", Cause: "broken", Stack: []byte("goroutine 7\n")}, "matchmark: internal error of matchmark, met in machines/oven.md (broken)\n  do: please report it, with that file"},
	} {
		t.Run(name, func(t *testing.T) {
			for _, trace := range []bool{false, true} {
				var out bytes.Buffer
				console := &console{out: &out, err: &out, trace: trace}
				if code := console.tell(newOwnFault(c.cause, debug.Stack())); code != exitOwnFault {
					t.Errorf("exit code %d", code)
				}
				if !strings.HasPrefix(out.String(), c.want) || strings.Contains(out.String(), "goroutine") != trace {
					t.Errorf("trace %v:\n%s", trace, out.String())
				}
			}
		})
	}
}

// panicking is a console's writer that fails as matchmark itself would.
type panicking struct{}

func (panicking) Write([]byte) (int, error) { panic("broken writer") }

func TestPanicInACommand(t *testing.T) {
	var out bytes.Buffer
	code := run(context.Background(), []string{"version"}, &console{out: panicking{}, err: &out})
	if code != exitOwnFault || !strings.Contains(out.String(), "(broken writer)") || strings.Contains(out.String(), "goroutine") {
		t.Errorf("exit code %d:\n%s", code, out.String())
	}
}

// Every command and option has words in the help, and the help names every exit code.
func TestHelpIsComplete(t *testing.T) {
	parser, err := kong.New(&commands{})
	assert.NilError(t, err)
	for _, command := range parser.Model.Children {
		if command.Help == "" {
			t.Errorf("%s has no help", command.Name)
		}
		for _, f := range command.Flags {
			if f.Help == "" {
				t.Errorf("%s --%s has no help", command.Name, f.Name)
			}
		}
		for _, a := range command.Positional {
			if a.Help == "" {
				t.Errorf("%s %s has no help", command.Name, a.Name)
			}
		}
	}
	for _, code := range []int{exitFine, exitLibrary, exitUsage, exitWorld, exitOwnFault, exitInterrupted} {
		if !strings.Contains(about, fmt.Sprintf("\n  %-5d", code)) {
			t.Errorf("the help does not explain exit code %d", code)
		}
	}
}
