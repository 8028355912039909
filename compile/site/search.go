package site

import (
	"bytes"
	"encoding/json"

	"matchmark/compile/page"
	"matchmark/procedure"
)

// searchEntry is one hit that a search can give: [kind, title, where, link].
// Arrays and not objects, because the index is read on every search of a large library.
type searchEntry [4]string

// emitSearchIndex writes the index as a classic script that sets one global,
// because a page opened from a folder may not fetch files. Links are relative to the site's root.
func (e *emitter) emitSearchIndex() error {
	var entries []searchEntry
	add := func(kind, title, where, link string) {
		entries = append(entries, searchEntry{e.words.T("search.kind." + kind), title, where, link})
	}
	for _, c := range e.lib.Courses {
		add("course", c.Title, c.Summary, page.CoursePath(c))
	}
	for _, p := range e.lib.Procedures {
		if p.Forth == nil {
			add("procedure", p.Title, p.Summary, page.ProcedurePath(p))
		} else { // its summary says no more than its title
			entries = append(entries, searchEntry{e.words.T("way.back"), p.Title, p.Machine.Title, page.ProcedurePath(p)})
		}
	}
	for _, m := range e.lib.Machines {
		add("machine", m.Title, m.Summary, page.MachinePath(m))
	}
	for _, q := range e.lib.Quizzes {
		add("quiz", q.Title, q.Summary, page.QuizPath(q))
	}
	for _, p := range e.lib.Procedures {
		seen := map[string]bool{}
		for _, j := range p.Jobs() {
			for _, s := range j.Steps {
				if seen[s.ID] {
					continue // the same step in another variant
				}
				seen[s.ID] = true
				add("step", s.Title, p.Title, page.StepsPath(j)+"#"+s.ID)
			}
		}
	}
	for _, m := range e.lib.Machines {
		e.indexThings(m, add)
	}
	var b bytes.Buffer
	b.WriteString("window.matchmarkSearch = ")
	encoder := json.NewEncoder(&b)
	if entries == nil {
		entries = []searchEntry{}
	}
	if err := encoder.Encode(entries); err != nil {
		return err
	}
	b.Truncate(b.Len() - 1) // the encoder's line end
	b.WriteString(";\n")
	return e.out.Write(page.SearchIndexPath, b.Bytes())
}

// indexThings adds a machine's parts and fasteners.
func (e *emitter) indexThings(m *procedure.Machine, add func(kind, title, where, link string)) {
	link := func(id string) string { return page.MachinePath(m) + "#" + thingAnchor(id) }
	for _, x := range m.Parts {
		add("part", x.Name, m.Title, link(x.ID))
	}
	shell := e.shell(page.StartPath, "")
	for _, x := range m.Fasteners {
		title := x.ID + " " + x.Name
		if size := shell.ThreadAndLength(x); size != "" {
			title += ", " + size
		}
		add("fastener", title, m.Title, link(x.ID))
	}
}
