package assist

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/source"
	"matchmark/procedure/text"
)

// Definition is where the name at a place is given; an invalid span when there is none.
func (d *Desk) Definition(file string, offset int) (at text.Span, err error) {
	err = d.on(file, func(doc *document) {
		if p, ok := doc.at(offset); ok {
			if def, ok := doc.definition(p.name); ok {
				at = def.span
			}
		}
	})
	return at, err
}

// Uses are all places at which the name at a place stands, its definition first if it is wanted, else without it.
func (d *Desk) Uses(file string, offset int, definition bool) (out []text.Span, err error) {
	n, ok, err := d.nameAt(file, offset)
	if err != nil || !ok {
		return nil, err
	}
	all, err := d.everywhere(file, n)
	for _, p := range all {
		if !p.defines || definition {
			out = append(out, p.span)
		}
	}
	return out, err
}

func (d *Desk) nameAt(file string, offset int) (n name, ok bool, err error) {
	err = d.on(file, func(doc *document) {
		var p place
		if p, ok = doc.at(offset); ok {
			n = p.name
		}
	})
	return n, ok, err
}

// everywhere are all places of a name: those in the files joined with the file that gives it, which are all that may use it,
// with the courses for the names of procedures and their steps.
func (d *Desk) everywhere(file string, n name) (out []place, err error) {
	files := []string{n.owner}
	err = d.on(file, func(*document) {
		if n.sort == step || n.sort == job || n.sort == quiz {
			files = append(files, d.builder.Courses()...)
		}
	})
	if err != nil {
		return nil, err
	}
	seen := map[key]bool{}
	for _, f := range files {
		err := d.on(f, func(doc *document) {
			for _, p := range doc.places {
				k := key{n, p.span.File.Name, p.span.Start, p.span.End}
				if p.name == n && !seen[k] {
					seen[k] = true
					out = append(out, p)
				}
			}
		})
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}

var (
	nameForm   = regexp.MustCompile(`^[a-z][a-z0-9-]*$`)
	numberForm = regexp.MustCompile(`^[1-9][0-9]{0,2}$`)
)

// Renaming is what stands in the way of another name.
type Renaming struct{ Wrong string }

// Error says what stands in the way.
func (e *Renaming) Error() string { return e.Wrong }

// Named is the name at a place that may be changed; an invalid span when there is none.
func (d *Desk) Named(file string, offset int) (at text.Span, err error) {
	err = d.on(file, func(doc *document) {
		if p, ok := doc.at(offset); ok && p.span.Text() == p.id {
			at = p.span
		}
	})
	return at, err
}

// Rename gives the name at a place another form, wherever it stands. The error is a *Renaming when that cannot be.
func (d *Desk) Rename(file string, offset int, to string) (edits []rewrite.Edit, err error) {
	n, ok, err := d.nameAt(file, offset)
	if err != nil {
		return nil, err
	}
	if !ok {
		return nil, &Renaming{"there is no name here"}
	}
	form, words := nameForm, "a name has lower-case letters, digits and hyphens, a letter first"
	if numberForm.MatchString(n.id) {
		form, words = numberForm, "a callout number is a whole number from 1 to 999"
	}
	if !form.MatchString(to) {
		return nil, &Renaming{words}
	}
	taken := false
	err = d.on(n.owner, func(doc *document) { _, taken = doc.definition(name{n.sort, n.owner, to}) })
	if err != nil {
		return nil, err
	}
	if taken {
		return nil, &Renaming{fmt.Sprintf("%s is the name of another %s already", to, n.sort)}
	}
	all, err := d.everywhere(file, n)
	if err != nil {
		return nil, err
	}
	for _, p := range all {
		words := to
		if run := numbersOf(p.span.Text()); len(run) > 0 {
			words = strings.Join(renamed(run, n.id, to), ", ")
		} else if p.span.Text() != n.id {
			return nil, &Renaming{fmt.Sprintf("%s stands in %q (%s): write it out there first", n.id, p.span.Text(), p.span.At())}
		}
		edits = append(edits, rewrite.Edit{Span: p.span, Text: words})
	}
	return edits, nil
}

func renamed(all []string, from, to string) []string {
	out := slices.Clone(all)
	for i := range out {
		if out[i] == from {
			out[i] = to
		}
	}
	return out
}

// Symbol is a thing that a file holds, for an outline.
type Symbol struct {
	Name, Detail string
	Kind         SymbolKind
	// At is all of it, Head its own line.
	At, Head text.Span
	Below    []Symbol
}

// SymbolKind says what a symbol is.
type SymbolKind int

// The kinds of symbol.
const (
	SymbolSection SymbolKind = iota
	SymbolStep
	SymbolFigure
	SymbolRegister
	SymbolRow
	SymbolQuestion
	SymbolBlock
)

// Outline lists what a file holds: steps below their sections, registers with their rows, figures, questions.
func (d *Desk) Outline(file string) (out []Symbol, err error) {
	err = d.on(file, func(doc *document) { out = outline(doc.file) })
	return out, err
}

var (
	headingTitle = regexp.MustCompile(`^(#{1,2})[ \t]+(.*?)[ \t]*(?:\{#([a-z0-9-]+)\})?[ \t]*$`)
	fenceTitle   = regexp.MustCompile(`^[ \t]*:::+[ \t]*([a-z-]+)[ \t]*([^"{]*)(?:"([^"]*)")?`)
)

// outline reads lines, so that it stands while the text is broken.
func outline(f *text.File) (out []Symbol) {
	open := func(level int) *[]Symbol {
		at := &out
		if n := len(out); n > 0 && level > 1 && out[n-1].Kind == SymbolSection {
			at = &out[n-1].Below
		}
		return at
	}
	end := func(list []Symbol, offset int) {
		if n := len(list); n > 0 {
			last := &list[n-1]
			last.At.End = max(last.Head.End, offset)
			if m := len(last.Below); m > 0 {
				last.Below[m-1].At.End = max(last.Below[m-1].Head.End, min(last.At.End, max(last.Below[m-1].At.End, offset)))
			}
		}
	}
	head := len(matterOf(f.Source))
	for line := 1; line <= f.LineCount(); line++ {
		start, stop := f.LineBounds(line)
		if start < head {
			continue
		}
		words := string(f.Source[start:stop])
		at := f.Span(start, stop)
		if h := headingTitle.FindStringSubmatch(words); h != nil {
			level := len(h[1])
			if level == 1 {
				end(out, start)
			} else {
				end(*open(2), start)
			}
			list := open(level)
			kind := SymbolStep
			if level == 1 {
				kind = SymbolSection
			}
			*list = append(*list, Symbol{Name: h[2], Detail: h[3], Kind: kind, At: at, Head: at})
			continue
		}
		if m := fenceTitle.FindStringSubmatch(words); m != nil {
			kind := SymbolBlock
			switch m[1] {
			case "register":
				kind = SymbolRegister
			case "figure":
				kind = SymbolFigure
			case "question":
				kind = SymbolQuestion
			default:
				continue
			}
			name := m[3]
			if name == "" {
				name = strings.TrimSpace(m[2])
			}
			s := Symbol{Name: name, Detail: m[1] + " " + strings.TrimSpace(m[2]), Kind: kind, At: f.Span(start, closing(f, line)), Head: at}
			list := open(2)
			if n := len(*list); n > 0 && (*list)[n-1].Kind == SymbolStep {
				list = &(*list)[n-1].Below
			}
			*list = append(*list, s)
		}
	}
	end(out, len(f.Source))
	if list := open(2); list != &out {
		end(*list, len(f.Source))
		end(out, len(f.Source))
	}
	return out
}

var fenceClose = regexp.MustCompile(`^[ \t]*:::+[ \t]*$`)

// closing is where the block that opens on a line ends: at its closing line, or where the next step begins.
func closing(f *text.File, line int) int {
	depth := 1
	for n := line + 1; n <= f.LineCount(); n++ {
		start, stop := f.LineBounds(n)
		words := string(f.Source[start:stop])
		switch {
		case fenceClose.MatchString(words):
			if depth--; depth == 0 {
				return stop
			}
		case fenceLine.MatchString(words):
			depth++
		case headingTitle.MatchString(words):
			_, stop = f.LineBounds(n - 1)
			return stop
		}
	}
	return len(f.Source)
}

// Folds are the runs of lines that can be folded away: steps, sections and blocks; lines count from 1.
func (d *Desk) Folds(file string) (out [][2]int, err error) {
	err = d.on(file, func(doc *document) {
		f := doc.file
		var walk func([]Symbol)
		walk = func(all []Symbol) {
			for _, s := range all {
				if s.Kind <= SymbolStep {
					out = append(out, [2]int{f.LineOf(s.At.Start), f.LineOf(max(s.At.End-1, s.At.Start))})
				}
				walk(s.Below)
			}
		}
		walk(outline(f))
		for line := 1; line <= f.LineCount(); line++ {
			start, stop := f.LineBounds(line)
			if fenceLine.MatchString(string(f.Source[start:stop])) {
				out = append(out, [2]int{line, f.LineOf(closing(f, line))})
			}
		}
		out = slices.DeleteFunc(out, func(x [2]int) bool { return x[1] <= x[0] })
	})
	return out, err
}

// Link is a place that leads to a file of the library.
type Link struct {
	At   text.Span
	File string
}

var pathValue = regexp.MustCompile(`\b(?:src|from)=("?)([^"\s}]+)`)

// Links are the places of a file that name another one: pictures and tables.
func (d *Desk) Links(file string) (out []Link, err error) {
	err = d.on(file, func(doc *document) {
		for _, m := range pathValue.FindAllSubmatchIndex(doc.file.Source, -1) {
			if path := string(doc.file.Source[m[4]:m[5]]); strings.Contains(path, ".") {
				out = append(out, Link{doc.file.Span(m[4], m[5]), path})
			}
		}
	})
	return out, err
}

// Tidy writes a file in its one form: nothing when it has it.
func (d *Desk) Tidy(file string) (edits []rewrite.Edit, err error) {
	err = d.on(file, func(doc *document) {
		reader := source.NewReader().For(doc.opened.Language, nil)
		edits = changes(doc.file, reader.Tidy(doc.file))
	})
	return edits, err
}

// changes are the edits that make another text of a file, line by line.
func changes(f *text.File, to []byte) []rewrite.Edit {
	from := string(f.Source)
	start := 0
	for start < len(from) && start < len(to) && from[start] == to[start] {
		start++
	}
	if start == len(from) && start == len(to) {
		return nil
	}
	for start > 0 && from[start-1] != '\n' {
		start--
	}
	tail := 0
	for tail < len(from)-start && tail < len(to)-start && from[len(from)-1-tail] == to[len(to)-1-tail] {
		tail++
	}
	for tail > 0 && len(from)-tail < len(from) && (from[len(from)-tail] != '\n') {
		tail--
	}
	return []rewrite.Edit{{Span: f.Span(start, len(from)-tail), Text: string(to[start : len(to)-tail])}}
}

// WayBack is the refitting that is derived from the file's procedure, as lines: its steps with what is done in them.
func (d *Desk) Refitting(file string) (words string, err error) {
	err = d.on(file, func(doc *document) {
		back := doc.opened.Derived()
		if back == nil {
			err = errors.New("there is no refitting for this file")
			return
		}
		var b strings.Builder
		for _, j := range back.Jobs {
			if j.Variant != nil {
				fmt.Fprintf(&b, "# %s\n\n", j.Variant.Name)
			}
			for _, s := range j.Steps {
				fmt.Fprintf(&b, "## %d. %s {#%s}\n\n", s.Number, s.Title, s.ID)
				for _, a := range s.Actions() {
					fmt.Fprintf(&b, "- %s %s\n", a.Verb, nameOf(a.Object.ID, j.Machine))
				}
				b.WriteString("\n")
			}
		}
		words = b.String()
	})
	return words, err
}

func nameOf(id string, m *procedure.Machine) string {
	if m != nil {
		if t := m.Thing(id); t != nil {
			return id + " (" + t.Row.Name + ")"
		}
	}
	return id
}
