package main

import (
	"fmt"
	"slices"

	"matchmark/compile"
	"matchmark/compile/library"
	"matchmark/procedure/diagnostic"
)

// checkCommand looks for faults and writes nothing.
type checkCommand struct {
	libraryArgument
	Format string `enum:"text,json" default:"text" help:"How to print the messages: text for people, json for editors and scripts."`
	FailOn string `enum:"error,warning" default:"error" help:"The least that makes the exit code 1: error or warning."`
}

// Help is shown below the command's one line.
func (*checkCommand) Help() string {
	return `Every fault is listed in one run, with file, line and column, what is wrong and what to do about it. "matchmark explain CODE" says more about one kind of message.`
}

// Run checks.
func (m *checkCommand) Run(c *console) error {
	files, closeIt, err := m.open()
	if err != nil {
		return err
	}
	defer closeIt()
	shown := c.startProgress()
	defer shown.stop()
	var log diagnostic.Log
	lib, err := library.Load(files, &log)
	shown.stop()
	if err != nil {
		return err
	}
	all := log.Sorted()
	if m.Format == "json" {
		err = diagnostic.PrintJSON(c.out, all)
	} else {
		err = messages(c.out, c.outColour, all)
	}
	if err != nil {
		return fmt.Errorf("printing the messages: %w", err)
	}
	if m.Format == "text" {
		m.demoHint(c)
		if len(all) == 0 {
			fmt.Fprintf(c.out, "No fault found in %s.\n", plural(len(lib.Procedures), "procedure", "procedures"))
		} else {
			fmt.Fprintf(c.out, "\n%s.\n%s\n", count(all), explainHint)
		}
	}
	if slices.ContainsFunc(all, m.fails) {
		return compile.ErrDiagnostics
	}
	return nil
}

// fails says whether a message makes the check fail.
func (m *checkCommand) fails(d diagnostic.Diagnostic) bool {
	return d.Severity == diagnostic.Error || d.Severity == diagnostic.Warning && m.FailOn == "warning"
}
