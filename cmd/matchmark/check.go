package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"slices"

	"matchmark/compile"
	"matchmark/compile/mend"
	"matchmark/compile/reference"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

// checkCommand looks for faults. It writes nothing, unless it is to put right what it can.
type checkCommand struct {
	libraryArgument
	Format  string `enum:"text,json,sarif" default:"text" help:"How to print the messages: text for people, json for editors and scripts, sarif (SARIF 2.1.0) for systems that gather the results of checks."`
	Least   string `enum:"advice,warning,error" default:"advice" help:"Lowest severity to show: advice, warning or error. It does not change the exit code."`
	FailOn  string `enum:"error,warning" default:"error" help:"Lowest severity that fails (exit code 1): error or warning."`
	All     bool   `help:"Also list messages that are caused by another one."`
	Fix     bool   `help:"Correct what can be corrected safely, and list the rest."`
	Allowed bool   `help:"List what authors allow by comments, with place and reason."`
}

// Help is shown below the command's one line.
func (*checkCommand) Help() string {
	return `Every fault is listed in one run, with file, line and column, what is wrong and what to do about it. "matchmark explain CODE" says more about one kind of message.

An intentional warning gets a comment <!-- allow CODE: reason --> above it and is not listed; --allowed lists them all, for a review.

--fix carries out those fixes after which nothing else can have been meant, such as a word with one letter wrong. All changed files are written at the end, each in one go, and none when somebody has changed one of them meanwhile.`
}

// checked is what a check has found.
type checked struct {
	procedures int // how many there are
	// shown are the messages that are shown, of all.
	all, shown []diagnostic.Diagnostic
	allowed    []diagnostic.Allowed
	// fixed are the faults that were put right, in so many files.
	fixed []diagnostic.Diagnostic
	files int
}

// Run checks.
func (m *checkCommand) Run(c *console) error {
	if m.Fix && m.Library == "" {
		return &failure{code: exitUsage, problem: say.That("--fix: the demo library cannot be written to"), do: say.That("name the folder of your own library")}
	}
	files, closeIt, err := m.open()
	if err != nil {
		return err
	}
	defer closeIt()
	shown := c.startProgress()
	defer shown.stop()
	found, err := m.check(c, files)
	shown.stop()
	if err != nil {
		return err
	}
	switch m.Format {
	case "json":
		err = m.printJSON(c, found)
	case "sarif":
		err = diagnostic.PrintSARIF(c.out, version(), reference.Rules(), found.shown, found.allowed)
	default:
		err = m.printText(c, found)
	}
	if err != nil {
		return fmt.Errorf("printing the messages: %w", err)
	}
	if m.Fix && m.Format != "text" {
		fmt.Fprintln(c.err, fixedLine(found).In(m.language(c)))
	}
	if slices.ContainsFunc(found.all, m.fails) {
		return libraryErrors(found.all)
	}
	return nil
}

// check looks for faults, and puts right what it can when it is to.
func (m *checkCommand) check(c *console, files fs.FS) (*checked, error) {
	var found checked
	var log diagnostic.Log
	if m.Fix {
		mended, err := mend.Library(files)
		if err != nil {
			return nil, err
		}
		if err := replace(m.Library, mended.Files); err != nil {
			return nil, err
		}
		found.procedures, found.all, found.allowed = mended.Procedures, mended.Log.Sorted(), mended.Log.AllowedSorted()
		found.fixed, found.files = mended.Fixed, len(mended.Files)
	} else {
		builder := compile.NewBuilder(files, compile.Options{Trace: c.buildTrace()})
		if err := builder.Check(context.Background(), nil, nil, &log); err != nil {
			return nil, err
		}
		found.procedures, found.all, found.allowed = builder.Procedures(), log.Sorted(), log.AllowedSorted()
	}
	if m.Format != "text" {
		if err := addRenewals(files, found.all); err != nil {
			return nil, err
		}
	}
	found.shown = slices.DeleteFunc(slices.Clone(found.all), func(d diagnostic.Diagnostic) bool { return !m.shows(d) })
	return &found, nil
}

// addRenewals gives the messages on older forms the fixes that write the files anew, for those who read messages by a
// program. A check for people leaves that to renew.
func addRenewals(files fs.FS, all []diagnostic.Diagnostic) error {
	isOld := func(d diagnostic.Diagnostic) bool { return d.Code == mend.OldForm }
	if !slices.ContainsFunc(all, isOld) {
		return nil
	}
	renewals, err := compile.OldForms(files)
	if err != nil {
		return err
	}
	for _, r := range renewals {
		for i := range all {
			if isOld(all[i]) && all[i].Span.At() == r.Span.At() {
				all[i].Fixes = r.Fixes
			}
		}
	}
	return nil
}

// shows says whether a message is shown.
func (m *checkCommand) shows(d diagnostic.Diagnostic) bool {
	return d.Severity == diagnostic.Error || m.Least == "advice" || d.Severity == diagnostic.Warning && m.Least == "warning"
}

// fails says whether a message makes the check fail.
func (m *checkCommand) fails(d diagnostic.Diagnostic) bool {
	return d.Severity == diagnostic.Error || d.Severity == diagnostic.Warning && m.FailOn == "warning"
}

// printText prints for people.
func (m *checkCommand) printText(c *console, found *checked) error {
	p := m.printer(c, c.outColour)
	p.All = m.All
	for _, d := range found.fixed {
		says := say.That("fixed %code: %what", say.Word(d.Code), d.Says())
		done := say.That("done: %what", d.SafeFix().Title)
		fmt.Fprintf(c.out, "%s: %s\n  %s\n", p.At(d.Span), says.In(p.Language), done.In(p.Language))
	}
	if len(found.fixed) > 0 && len(found.shown) > 0 {
		fmt.Fprintln(c.out)
	}
	if err := p.Print(below(c.out), found.shown); err != nil {
		return err
	}
	m.demoHint(c)
	if m.Fix {
		fmt.Fprintf(c.out, "\n%s\n", fixedLine(found).In(p.Language))
	}
	m.summary(c, p.Language, found)
	switch {
	case m.Allowed:
		return printAllowed(c, p, found.allowed)
	case len(found.allowed) > 0:
		fmt.Fprintln(c.out, say.That("%allowed allowed (see --allowed)", say.Count(len(found.allowed))).In(p.Language))
	}
	return nil
}

// fixedLine says how much was put right.
func fixedLine(found *checked) say.Text {
	if len(found.fixed) == 0 {
		return say.That("There was nothing to fix.")
	}
	return say.That("Fixed %faults %faults(fault|faults) in %files %files(file|files).", say.Count(len(found.fixed)), say.Count(found.files))
}

// summary is the line at the end, such as "3 errors, 2 warnings in 2 files; 1 can be fixed by check --fix."
func (m *checkCommand) summary(c *console, l say.Language, found *checked) {
	if len(found.all) == 0 {
		fmt.Fprintln(c.out, say.That("No fault found in %procedures %procedures(procedure|procedures).", say.Count(found.procedures)).In(l))
		return
	}
	judged := slices.DeleteFunc(slices.Clone(found.all), func(d diagnostic.Diagnostic) bool { return d.Severity == diagnostic.NotChecked })
	line := count(judged).In(l)
	files := map[string]bool{}
	fixable := 0
	for _, d := range judged {
		if d.Span.Valid() {
			files[d.Span.File.Name] = true
		}
		if d.SafeFix() != nil {
			fixable++
		}
	}
	if len(files) > 0 {
		line += " " + say.That("in %files %files(file|files)", say.Count(len(files))).In(l)
	}
	if open := len(found.all) - len(judged); open > 0 {
		line += "; " + numbered(diagnostic.NotChecked, say.Count(open)).In(l)
	}
	if hidden := len(found.all) - len(found.shown); hidden > 0 {
		line += "; " + say.That("%hidden not shown with --least %least", say.Count(hidden), say.Word(m.Least)).In(l)
	}
	if fixable > 0 {
		line += "; " + say.That("%fixable can be fixed by check --fix", say.Count(fixable)).In(l)
	}
	fmt.Fprintf(c.out, "\n%s.\n", line)
	if len(found.shown) > 0 {
		fmt.Fprintln(c.out, explainHint.In(l))
	}
}

// printJSON prints for editors and scripts: the list of messages alone, or both
// lists when the second one is asked for.
func (m *checkCommand) printJSON(c *console, found *checked) error {
	if !m.Allowed {
		return diagnostic.PrintJSON(c.out, nil, found.shown)
	}
	var list bytes.Buffer
	if err := diagnostic.PrintJSON(&list, nil, found.shown); err != nil {
		return err
	}
	return printJSON(c.out, struct {
		Diagnostics json.RawMessage `json:"diagnostics"`
		Allowed     []allowedJSON   `json:"allowed"`
	}{list.Bytes(), allowedForJSON(found.allowed)})
}
