package mend

import (
	"bytes"
	"io/fs"
	"slices"
	"strconv"
	"strings"

	"matchmark/compile"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/fitting"
	"matchmark/procedure/refit"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/text"
	"matchmark/themes"
)

// place is where a step is written. Procedures that take it in from one file share it.
type place struct {
	file  string
	start int
}

func placeOf(s *procedure.Step) place { return place{s.Span.File.Name, s.Span.Start} }

// toolList is what a step, written or derived, needs, and how many of its acts are left without a tool.
type toolList struct {
	from   place
	tools  []string
	faults int
}

// withoutFitting returns the files in which steps list no tool that follows from what they do, out of a library that was
// read from files. A tool goes only where every step keeps its tools, there and back.
func withoutFitting(lib *procedure.Library, files fs.FS) ([]rewrite.File, error) {
	words, err := wordsOf(lib)
	if err != nil {
		return nil, err
	}
	spare := spareTools(lib)
	if len(spare) == 0 {
		return nil, nil
	}
	before := toolsOf(lib, words)
	for len(spare) > 0 {
		made, err := rewrite.Make(toolEdits(lib, spare))
		if err != nil {
			return nil, err
		}
		after, err := compile.Load(onto(made, files), &diagnostic.Log{})
		if err != nil {
			return nil, err
		}
		if !keepLost(spare, before, toolsOf(after, words)) {
			return made, nil
		}
	}
	return nil, nil
}

func wordsOf(lib *procedure.Library) (*themes.Words, error) {
	theme, err := themes.Load()
	if err != nil {
		return nil, err
	}
	return theme.Words(lib.Language)
}

// spareTools are the listed tools without which each step alone keeps all that it needs.
func spareTools(lib *procedure.Library) map[place][]string {
	out := map[place][]string{}
	seen := map[place]bool{}
	for _, p := range lib.Procedures {
		for _, s := range p.WrittenSteps() {
			found := spareIn(p.Machine, s)
			if at := placeOf(s); seen[at] {
				out[at] = slices.DeleteFunc(out[at], func(id string) bool { return !slices.Contains(found, id) })
			} else {
				seen[at], out[at] = true, found
			}
		}
	}
	for at, ids := range out {
		if len(ids) == 0 {
			delete(out, at)
		}
	}
	return out
}

// spareIn are the listed tools of one step that follow from what it does. One may follow only once another is out of the
// list, such as the ratchet of a socket that is filled in, so the list is gone through until nothing changes.
func spareIn(m *procedure.Machine, s *procedure.Step) (out []string) {
	if m == nil || !s.FindTools {
		return nil
	}
	if slices.ContainsFunc(s.Listed, func(r procedure.Ref) bool {
		return r.Span.File != s.Span.File || r.Span.Start < s.Span.Start || r.Span.Text() != r.ID
	}) {
		return nil // what several steps have in common stands elsewhere
	}
	alone := *s
	want := listOf(m, s)
	for found := true; found; {
		found = false
		for _, r := range alone.Listed {
			less := alone
			less.Listed = slices.DeleteFunc(slices.Clone(alone.Listed), func(x procedure.Ref) bool { return x.ID == r.ID })
			if same(listOf(m, &less), want) {
				out, alone, found = append(out, r.ID), less, true
			}
		}
	}
	return out
}

func listOf(m *procedure.Machine, s *procedure.Step) toolList {
	refs, faults := fitting.Tools(m, s)
	out := toolList{from: placeOf(s), faults: len(faults)}
	for _, r := range refs {
		out.tools = append(out.tools, r.ID)
	}
	return out
}

func same(a, b toolList) bool { return slices.Equal(a.tools, b.tools) && a.faults == b.faults }

// toolsOf lists the tools of all steps, by the step's name: those of each procedure and, behind "back", of its derived refitting.
func toolsOf(lib *procedure.Library, words *themes.Words) map[string]toolList {
	out := map[string]toolList{}
	note := func(way string, p *procedure.Procedure) {
		for i, j := range p.Jobs() {
			for _, s := range j.Steps {
				out[strings.Join([]string{way, p.ID, strconv.Itoa(i), s.ID}, " ")] = listOf(p.Machine, s)
			}
		}
	}
	for _, p := range lib.Procedures {
		note("out", p)
		if p.Machine != nil {
			note("back", refit.Derive(p, refit.AdditionsOf(p), words.T))
		}
	}
	return out
}

// keepLost takes out of spare what a step has lost, and reports whether there was anything.
func keepLost(spare map[place][]string, before, after map[string]toolList) bool {
	found := false
	for name, was := range before {
		is := after[name]
		if same(was, is) {
			continue
		}
		found = true
		kept := slices.DeleteFunc(slices.Clone(spare[was.from]), func(id string) bool {
			return slices.Contains(was.tools, id) && !slices.Contains(is.tools, id)
		})
		if len(kept) == len(spare[was.from]) { // something else came or went instead
			kept = nil
		}
		if spare[was.from] = kept; len(kept) == 0 {
			delete(spare, was.from)
		}
	}
	return found
}

// toolEdits takes tools out of the lists of the steps.
func toolEdits(lib *procedure.Library, spare map[place][]string) (out []rewrite.Edit) {
	done := map[place]bool{}
	for _, p := range lib.Procedures {
		for _, s := range p.WrittenSteps() {
			at := placeOf(s)
			if gone := spare[at]; len(gone) > 0 && !done[at] {
				done[at] = true
				var left []string
				for _, r := range s.Listed {
					if !slices.Contains(gone, r.ID) {
						left = append(left, r.ID)
					}
				}
				out = append(out, toolEdit(s, left))
			}
		}
	}
	return out
}

const toolsAttribute = "tools="

// toolEdit writes the attribute tools of a step, which lists some tools, with those that are left.
func toolEdit(s *procedure.Step, left []string) rewrite.Edit {
	src := s.Span.File.Source
	from := bytes.LastIndex(src[:s.Listed[0].Span.Start], []byte(toolsAttribute))
	to := s.Listed[len(s.Listed)-1].Span.End
	if src[from+len(toolsAttribute)] == '"' {
		to += bytes.IndexByte(src[to:], '"') + 1
	}
	words := ""
	switch {
	case len(left) == 1:
		words = toolsAttribute + left[0]
	case len(left) > 1:
		words = toolsAttribute + `"` + strings.Join(left, ", ") + `"`
	case src[from-1] != '{':
		from -= len(src[:from]) - len(bytes.TrimRight(src[:from], " \t"))
	case src[to] != '}':
		to += len(src[to:]) - len(bytes.TrimLeft(src[to:], " \t"))
	default: // nothing else stands in the braces
		from, to = from-1, to+1
	}
	return rewrite.Edit{Span: text.Span{File: s.Span.File, Start: from, End: to}, Text: words}
}
