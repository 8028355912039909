// Package examples holds one case for every code that matchmark reports: lines
// of a library that are wrong, the message that they bring, and the same lines
// put right. The messages page shows them and a test compiles them.
//
// A new code needs a file CODE.txtar here, named after the code. Its sections are
//
//	setup: WORDS          first lines, only for what text cannot say (see Case.Setup)
//	A remark for readers  may be missing
//	-- with/PLACE --      lines that both sides need and the page does not show
//	-- bad/PLACE --       the fault, with « and » around the words that the message points at
//	-- good/PLACE --      the same lines put right
//	-- message --         what matchmark prints; `go test ./compile/reference -update` writes it
//
// The pairs of the order check lie in its own testdata, on a library of its own.
//
// PLACE is a place of the base library (base.txtar): machine, procedure, step or
// quiz; or the path of a file, which is added or takes the place of the base's
// own. A file under with/ may have a place of its own: a line of @ and a word.
package examples

import (
	"embed"
	"fmt"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strings"

	"matchmark/procedure/check/order"
)

//go:embed *.txtar
var own embed.FS

// baseFile holds the library that the cases of a folder lie on.
const baseFile = "base.txtar"

// Case is the example of one code.
type Case struct {
	Code string
	// Remark says in words what the lines cannot show; may be empty.
	Remark string
	// Setup lists what a test must do to a file before it is read, such as "latin-1 procedures/job.md".
	Setup     []string
	Bad, Good []Part
	// Message is what the bad side brings, as the command prints it.
	Message string
	// Partial is true for a case whose libraries may bring further messages and
	// whose own package tests it: those of the order check.
	Partial bool

	with []Part
	base []Part
}

// All returns the cases, those of this package before those of the order check, by code.
func All() ([]Case, error) {
	cases, err := read(own)
	if err != nil {
		return nil, err
	}
	pairs, err := read(order.Examples())
	if err != nil {
		return nil, err
	}
	for i := range pairs {
		pairs[i].Partial = true
	}
	return append(cases, pairs...), nil
}

// read reads the cases of a folder.
func read(folder fs.FS) ([]Case, error) {
	base, err := baseOf(folder)
	if err != nil {
		return nil, err
	}
	names, err := fs.Glob(folder, "*.txtar")
	if err != nil {
		return nil, err
	}
	var out []Case
	for _, name := range names {
		if name == baseFile {
			continue
		}
		src, err := fs.ReadFile(folder, name)
		if err != nil {
			return nil, err
		}
		c, err := parse(strings.TrimSuffix(name, path.Ext(name)), string(src))
		if err != nil {
			return nil, fmt.Errorf("case %s: %w", name, err)
		}
		c.base = base
		out = append(out, c)
	}
	return out, nil
}

func baseOf(folder fs.FS) ([]Part, error) {
	src, err := fs.ReadFile(folder, baseFile)
	if err != nil {
		return nil, err
	}
	_, base := split(string(src))
	return base, nil
}

// parse takes a case apart.
func parse(code, src string) (Case, error) {
	c := Case{Code: code}
	comment, parts := split(src)
	for line := range strings.Lines(comment) {
		if setup, ok := strings.CutPrefix(line, "setup: "); ok {
			c.Setup = append(c.Setup, strings.TrimSpace(setup))
		} else {
			c.Remark += line
		}
	}
	c.Remark = strings.TrimSpace(c.Remark)
	for _, p := range parts {
		side, place, _ := strings.Cut(p.Place, "/")
		p.Place = place
		switch side {
		case "bad":
			c.Bad = append(c.Bad, p)
		case "good":
			c.Good = append(c.Good, p)
		case "with":
			c.with = append(c.with, p)
		case "message":
			c.Message = p.Text
		default:
			return Case{}, fmt.Errorf("section %q is none of with, bad, good and message", side)
		}
	}
	return c, nil
}

// Part is a run of lines and where in a library they stand.
type Part struct {
	// Place is machine, procedure, step, quiz or a word of the case's own, or the path of a file.
	Place string
	// Text holds the lines; in a bad part « and » stand around the fault.
	Text string
}

// InFile reports whether the part is a whole file and not some lines of one.
func (p Part) InFile() bool { return strings.Contains(p.Place, ".") }

// Plain returns the lines without the marks.
func (p Part) Plain() string {
	plain, _ := Unmark(p.Text)
	return plain
}

// Unmark takes the marks « and » out of a text and returns the byte ranges of
// the text without them that stood between two marks.
func Unmark(s string) (plain string, marked [][2]int) {
	var b strings.Builder
	for {
		before, rest, found := strings.Cut(s, "«")
		b.WriteString(before)
		if !found {
			return b.String(), marked
		}
		words, rest, _ := strings.Cut(rest, "»")
		start := b.Len()
		b.WriteString(words)
		marked = append(marked, [2]int{start, b.Len()})
		s = rest
	}
}

// Library returns the files of the case's bad or good side: the base library
// with the case's parts in place. The bad side still has its marks.
func (c Case) Library(good bool) (map[string]string, error) {
	side := c.Bad
	if good {
		side = c.Good
	}
	parts := slices.Concat(c.with, side)
	for i := range parts {
		if good {
			parts[i].Text = parts[i].Plain() // lines that both sides have may be marked
		}
	}
	if !good && slices.Contains(c.Setup, "without base") {
		return compose(nil, parts)
	}
	return compose(c.base, parts)
}

// Compose puts parts into the base library of this package.
func Compose(parts ...Part) (map[string]string, error) {
	base, err := baseOf(own)
	if err != nil {
		return nil, err
	}
	return compose(base, parts)
}

// compose puts parts into a library: whole files beside its own or in their
// place, other lines where a line of @ and the place's name stands. Places that
// no part fills are empty.
func compose(base, parts []Part) (map[string]string, error) {
	out, lines := map[string]string{}, map[string]string{}
	for _, p := range slices.Concat(base, parts) {
		if p.InFile() {
			out[p.Place] = p.Text
		} else {
			lines[p.Place] += p.Text
		}
	}
	filled := map[string]bool{}
	for name, text := range out {
		var b strings.Builder
		for line := range strings.Lines(text) {
			place, ok := strings.CutPrefix(line, "@")
			if !ok {
				b.WriteString(line)
				continue
			}
			place = strings.TrimSpace(place)
			b.WriteString(lines[place])
			filled[place] = true
		}
		out[name] = b.String()
	}
	for _, place := range slices.Sorted(maps.Keys(lines)) {
		if !filled[place] {
			return nil, fmt.Errorf("no file has the place %q", place)
		}
	}
	return out, nil
}

// Shown returns a part as readers see it: without marks, and rows of a table
// with the register around them.
func (c Case) Shown(p Part) string {
	text := strings.TrimRight(p.Plain(), "\n") + "\n"
	if !strings.HasPrefix(text, "|") {
		return text
	}
	for _, f := range slices.Concat(c.base, c.with) {
		before, _, found := strings.Cut(f.Text, "@"+p.Place+"\n")
		at := strings.LastIndex(before, "::: register")
		if !found || at < 0 {
			continue
		}
		lines := strings.SplitAfterN(before[at:], "\n", 4)
		return strings.Join(lines[:min(3, len(lines))], "") + text + ":::\n"
	}
	return text
}

// split takes an archive apart: a comment, then sections under lines of "-- name --".
func split(src string) (comment string, parts []Part) {
	for line := range strings.Lines(src) {
		name, ok := strings.CutPrefix(strings.TrimRight(line, "\n"), "-- ")
		if name, end := strings.CutSuffix(name, " --"); ok && end {
			parts = append(parts, Part{Place: name})
			continue
		}
		if len(parts) == 0 {
			comment += line
			continue
		}
		parts[len(parts)-1].Text += line
	}
	return comment, parts
}
