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
)

//go:embed *.txtar
var files embed.FS

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

	with []Part
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

// All returns the cases by code.
func All() ([]Case, error) {
	names, err := fs.Glob(files, "*.txtar")
	if err != nil {
		return nil, err
	}
	var out []Case
	for _, name := range names {
		if name == "base.txtar" {
			continue
		}
		src, err := fs.ReadFile(files, name)
		if err != nil {
			return nil, err
		}
		c, err := parse(strings.TrimSuffix(name, path.Ext(name)), string(src))
		if err != nil {
			return nil, fmt.Errorf("case %s: %w", name, err)
		}
		out = append(out, c)
	}
	return out, nil
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
	alone := !good && slices.Contains(c.Setup, "without base")
	return Compose(!alone, parts...)
}

// basePlaces are the places of the base library.
var basePlaces = []string{"machine", "procedure", "step", "quiz"}

// Compose puts parts into the base library, or together without it.
func Compose(base bool, parts ...Part) (map[string]string, error) {
	out := map[string]string{}
	if base {
		src, err := fs.ReadFile(files, "base.txtar")
		if err != nil {
			return nil, err
		}
		_, own := split(string(src))
		for _, p := range own {
			out[p.Place] = p.Text
		}
	}
	places := slices.Clone(basePlaces)
	lines := map[string]string{}
	for _, p := range parts {
		if p.InFile() {
			out[p.Place] = p.Text
			continue
		}
		lines[p.Place] += p.Text
		if !slices.Contains(places, p.Place) {
			places = append(places, p.Place)
		}
	}
	var replace []string
	for _, place := range places {
		line := "@" + place + "\n"
		if lines[place] != "" && !slices.ContainsFunc(slices.Collect(maps.Values(out)), func(text string) bool { return strings.Contains(text, line) }) {
			return nil, fmt.Errorf("no file has the place %q", place)
		}
		replace = append(replace, line, lines[place])
	}
	for name, text := range out {
		out[name] = strings.NewReplacer(replace...).Replace(text)
	}
	return out, nil
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
