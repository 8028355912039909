package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"sync"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

// console is where a command writes.
type console struct {
	out, err io.Writer
	// outColour and errColour say whether the two take colours.
	outColour, errColour bool
	// live says that err shows lines that are written over.
	live bool
	// quiet leaves out what is neither a result nor a problem.
	quiet bool
	// messages is the code of the language of messages, or "library" for that of the library.
	messages string
	// library says the language of the library that the command is on; nil for a command that is on none.
	library func() say.Language
	// trace says that a fault of matchmark's own shows where it happened.
	trace bool
}

// language is what messages are said in that are on no library.
func (c *console) language() say.Language { return say.Translation(c.messages) }

// spoken is what a command says its own lines in: as messages are.
func (c *console) spoken() say.Language {
	if c.messages == "library" && c.library != nil {
		return c.library()
	}
	return c.language()
}

// on takes in which library a command is on, which may be the one that says the language.
func (c *console) on(a libraryArgument) {
	c.library = sync.OnceValue(func() say.Language { return a.language(c) })
}

// in is a line in the language that is spoken.
func (c *console) in(line say.Text) string { return line.In(c.spoken()) }

// print says a line that is a result.
func (c *console) print(line say.Text) { fmt.Fprintln(c.out, c.in(line)) }

// warn says a line that is a problem, or about one.
func (c *console) warn(line say.Text) { fmt.Fprintln(c.err, c.in(line)) }

// faults prints what is wrong with a file of records, where, and what to do.
func (c *console) faults(name string, all diagnostic.Faults) error {
	for i := range all {
		all[i].Place.File = name
	}
	return diagnostic.Printer{Language: c.language()}.Print(c.err, all)
}

// newConsole looks at what the two files are. Colours are for terminals, and not
// for people who set NO_COLOR.
// Source: no-color.org.
func newConsole(out, err *os.File) *console {
	plain := os.Getenv("NO_COLOR") != "" || os.Getenv("TERM") == "dumb"
	live := isTerminal(err)
	return &console{
		out: out, err: err,
		outColour: isTerminal(out) && !plain,
		errColour: live && !plain,
		live:      live && os.Getenv("TERM") != "dumb",
	}
}

// useColours follows --color; auto leaves what newConsole saw.
func (c *console) useColours(when string) {
	if when == "always" || when == "never" {
		c.outColour, c.errColour = when == "always", when == "always"
	}
}

// note says what is neither a result nor a problem, such as where a file was written.
func (c *console) note(line say.Text) {
	if !c.quiet {
		c.warn(line)
	}
}

// traceVariable is set by who works on matchmark itself, and wants to see what is made and why.
const traceVariable = "MATCHMARK_TRACE"

// buildTrace prints each result of the build graph that is made, and why; nil when nobody asks for it.
func (c *console) buildTrace() func(line string) {
	if os.Getenv(traceVariable) == "" {
		return nil
	}
	var printing sync.Mutex
	return func(line string) {
		printing.Lock()
		defer printing.Unlock()
		fmt.Fprintln(c.err, line)
	}
}

// printJSON writes a value for scripts, in the form of the messages' JSON.
func printJSON(w io.Writer, value any) error {
	out := json.NewEncoder(w)
	out.SetIndent("", "  ")
	out.SetEscapeHTML(false)
	return out.Encode(value)
}

// english are lines for scripts: what programs read is the same in every language. A list of none is a list too.
func english(lines []say.Text) []string {
	out := []string{}
	for _, l := range lines {
		out = append(out, l.String())
	}
	return out
}

// faults are the messages without the advice, which is for a check and not for every compile.
func faults(all []diagnostic.Diagnostic) []diagnostic.Diagnostic {
	return slices.DeleteFunc(slices.Clone(all), func(d diagnostic.Diagnostic) bool { return d.Severity == diagnostic.Advice })
}

// errorsOnly are the messages that stop a command which is not about the rest.
func errorsOnly(all []diagnostic.Diagnostic) []diagnostic.Diagnostic {
	return slices.DeleteFunc(slices.Clone(all), func(d diagnostic.Diagnostic) bool { return d.Severity != diagnostic.Error })
}

// count says how many messages there are, such as "1 error, 2 warnings".
func count(all []diagnostic.Diagnostic) say.Text {
	number := map[diagnostic.Severity]say.Count{}
	more := 0
	for _, group := range diagnostic.Grouped(all) {
		number[group[0].Severity]++
		more += len(group) - 1
	}
	var parts []say.Part
	for _, s := range []diagnostic.Severity{diagnostic.Error, diagnostic.Warning, diagnostic.Advice, diagnostic.NotChecked} {
		if n := number[s]; n > 0 {
			parts = append(parts, numbered(s, n))
		}
	}
	if more > 0 {
		parts = append(parts, say.That("%count more that %count(follows|follow)", say.Count(more)))
	}
	return say.That("%counts", say.List{Join: say.Commas, Parts: parts})
}

// numbered is a number of messages of one severity.
func numbered(s diagnostic.Severity, n say.Count) say.Text {
	switch s {
	case diagnostic.Error:
		return say.That("%count %count(error|errors)", n)
	case diagnostic.Warning:
		return say.That("%count %count(warning|warnings)", n)
	case diagnostic.Advice:
		return say.That("%count %count(suggestion|suggestions)", n)
	}
	return say.That("%count %count(procedure|procedures) not wholly checked", n)
}

// typed writes a folder as it has to be typed.
func typed(dir string) string {
	if strings.ContainsAny(dir, " \t&;()'") {
		return `"` + dir + `"`
	}
	return dir
}
