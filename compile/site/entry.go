package site

import (
	"slices"

	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/schedule"
)

// entryView is one line of a list of pages.
type entryView struct {
	Title, Summary, Link string
	// Note is a short fact after the title; may be empty.
	Note string
	// Drawing is what it is about, to recognise it by; its Path may be empty. Machine is where a choice of variants is kept, empty for none.
	Drawing procedure.Drawing
	Machine string
	// Ways lead from a procedure straight into each of its jobs, and into those of its refitting.
	Ways []wayEntry
}

// wayEntry is the jobs of a procedure or of its refitting. Name says which; it is
// empty for a procedure without a refitting.
type wayEntry struct {
	Name string
	Jobs []jobEntry
}

// jobEntry leads to a job's step view. Variant is empty for a machine without variants.
type jobEntry struct{ Variant, Time, Steps, Link string }

// on is the entry on a page; before, its links are site paths.
func (v entryView) on(s page.Shell) entryView {
	v.Link = s.Link(v.Link)
	if v.Drawing.Path != "" {
		v.Drawing.Path = s.Link(v.Drawing.Path)
	}
	v.Ways = slices.Clone(v.Ways)
	for i := range v.Ways {
		way := &v.Ways[i]
		way.Jobs = slices.Clone(way.Jobs)
		for j := range way.Jobs {
			way.Jobs[j].Link = s.Link(way.Jobs[j].Link)
		}
	}
	return v
}

// procedureEntry is the entry of a procedure and its refitting, with site paths.
func (e *emitter) procedureEntry(p *procedure.Procedure) entryView {
	out := entryView{Title: p.Title, Summary: p.Summary, Link: page.ProcedurePath(p), Drawing: p.Drawing}
	s := e.shell(page.StartPath, "")
	if p.Machine != nil {
		out.Note = p.Machine.Title
		if len(p.Jobs()) > 1 {
			out.Machine = p.Machine.ID
		}
	}
	out.Ways = []wayEntry{{Jobs: e.jobEntries(s, p)}}
	if p.Refitting != nil {
		out.Ways[0].Name = e.words.T("way.out")
		out.Ways = append(out.Ways, wayEntry{e.words.T("way.back"), e.jobEntries(s, p.Refitting)})
	}
	return out
}

func (e *emitter) jobEntries(s page.Shell, p *procedure.Procedure) []jobEntry {
	var out []jobEntry
	for _, j := range p.Jobs() {
		entry := jobEntry{
			Time:  schedule.Duration(schedule.Clock(j).Total.Expected),
			Steps: e.words.Count("start.steps", len(j.Steps)),
			Link:  s.Link(page.StepsPath(j)),
		}
		if j.Variant != nil {
			entry.Variant = j.Variant.Name
		}
		out = append(out, entry)
	}
	return out
}
