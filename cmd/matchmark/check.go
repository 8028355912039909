package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"

	"matchmark/compile"
	"matchmark/compile/library"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
)

// checkCommand looks for faults and writes nothing.
type checkCommand struct {
	libraryArgument
	Format  string `enum:"text,json" default:"text" help:"How to print the messages: text for people, json for editors and scripts."`
	FailOn  string `enum:"error,warning" default:"error" help:"The least that makes the exit code 1: error or warning."`
	Allowed bool   `help:"List what the authors allow with comments, with place and reason."`
}

// Help is shown below the command's one line.
func (*checkCommand) Help() string {
	return `Every fault is listed in one run, with file, line and column, what is wrong and what to do about it. "matchmark explain CODE" says more about one kind of message.

A warning that is meant to be stands below a comment <!-- allow CODE: reason --> and is not listed; --allowed shows it, for somebody who looks over what others allowed.`
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
	all, allowed := log.Sorted(), log.AllowedSorted()
	if m.Format == "json" {
		err = m.printJSON(c, all, allowed)
	} else {
		err = m.printText(c, lib, all, allowed)
	}
	if err != nil {
		return fmt.Errorf("printing the messages: %w", err)
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

// printText prints for people.
func (m *checkCommand) printText(c *console, lib *procedure.Library, all []diagnostic.Diagnostic, allowed []diagnostic.Allowed) error {
	if err := messages(c.out, c.outColour, all); err != nil {
		return err
	}
	m.demoHint(c)
	if len(all) == 0 {
		fmt.Fprintf(c.out, "No fault found in %s.\n", plural(len(lib.Procedures), "procedure", "procedures"))
	} else {
		fmt.Fprintf(c.out, "\n%s.\n%s\n", count(all), explainHint)
	}
	switch {
	case m.Allowed:
		return printAllowed(c, allowed)
	case len(allowed) > 0:
		fmt.Fprintf(c.out, "%d allowed (see --allowed)\n", len(allowed))
	}
	return nil
}

// printJSON prints for editors and scripts: the list of messages alone, or both
// lists when the second one is asked for.
func (m *checkCommand) printJSON(c *console, all []diagnostic.Diagnostic, allowed []diagnostic.Allowed) error {
	if !m.Allowed {
		return diagnostic.PrintJSON(c.out, all)
	}
	var list bytes.Buffer
	if err := diagnostic.PrintJSON(&list, all); err != nil {
		return err
	}
	return printJSON(c.out, struct {
		Diagnostics json.RawMessage `json:"diagnostics"`
		Allowed     []allowedJSON   `json:"allowed"`
	}{list.Bytes(), allowedForJSON(allowed)})
}
