package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/source/highlight"
)

// console is where a command writes.
type console struct {
	out, err io.Writer
	// outColour and errColour say whether the two take colours.
	outColour, errColour bool
	// live says that err shows lines that are written over.
	live bool
	// trace says that a fault of matchmark's own shows where it happened.
	trace bool
}

// fault prints what is wrong with a file of records, where, and what to do.
func (c *console) fault(name string, line, column int, message, do string) {
	fmt.Fprintf(c.err, "%s:%d:%d: error: %s\n  do: %s\n", name, line, column, message, do)
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

// printJSON writes a value for scripts, in the form of the messages' JSON.
func printJSON(w io.Writer, value any) error {
	out := json.NewEncoder(w)
	out.SetIndent("", "  ")
	out.SetEscapeHTML(false)
	return out.Encode(value)
}

// messages writes diagnostics as text.
func messages(w io.Writer, colour bool, all []diagnostic.Diagnostic) error {
	p := diagnostic.Printer{Excerpt: true}
	if colour {
		p.Highlight = highlight.Terminal
	}
	return p.Print(w, all)
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
func count(all []diagnostic.Diagnostic) string {
	number := map[diagnostic.Severity]int{}
	for _, d := range all {
		number[d.Severity]++
	}
	var parts []string
	for _, s := range []diagnostic.Severity{diagnostic.Error, diagnostic.Warning, diagnostic.Advice} {
		switch n := number[s]; {
		case n == 0:
		case s == diagnostic.Advice:
			parts = append(parts, plural(n, "piece of advice", "pieces of advice"))
		default:
			parts = append(parts, plural(n, s.String(), s.String()+"s"))
		}
	}
	return strings.Join(parts, ", ")
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// typed writes a folder as it has to be typed.
func typed(dir string) string {
	if strings.ContainsAny(dir, " \t&;()'") {
		return `"` + dir + `"`
	}
	return dir
}

// oneOf lists alternatives: "a, b or c".
func oneOf(words []string) string {
	last := len(words) - 1
	if last < 1 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:last], ", ") + " or " + words[last]
}
