// Package sheet emits the printable sheets of a job: the checklist, the list of
// tools and consumables, and the labels for bags and parts. It also holds the
// head that other printed pages share.
package sheet

import (
	"fmt"
	"strings"

	"matchmark/compile/output"
	"matchmark/compile/page"
	"matchmark/compile/picture"
	"matchmark/procedure"
	"matchmark/procedure/supplies"
	"matchmark/themes"
)

// Emit writes the sheets of every job of a library.
func Emit(lib *procedure.Library, pictures map[string]*picture.Picture, theme *themes.Theme, out output.Sink) error {
	words, err := theme.Words(lib.Language)
	if err != nil {
		return err
	}
	for _, p := range lib.Procedures {
		if p.Machine == nil {
			return fmt.Errorf("procedure %s: its machine %q is not there", p.ID, p.MachineRef.ID)
		}
		for _, job := range p.Jobs() {
			e := emitter{lib: lib, pictures: pictures, words: words, theme: theme, out: out, job: job, list: supplies.For(job)}
			for _, emit := range []func() error{e.checklist, e.tools, e.labels} {
				if err := emit(); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// emitter makes the sheets of one job.
type emitter struct {
	lib      *procedure.Library
	pictures map[string]*picture.Picture
	words    *themes.Words
	theme    *themes.Theme
	out      output.Sink
	job      *procedure.Job
	list     supplies.List
}

// head returns the head of one of the job's sheets; its code leads to a page of the site.
func (e emitter) head(at, kind, leadsTo, says string) (Head, error) {
	p, variant := e.job.Procedure, ""
	if e.job.Variant != nil {
		variant = e.job.Variant.Name
	}
	h := NewHead(e.lib, e.words, at, kind, p.Title, variant, page.Crumb{Title: p.Title, Link: page.ProcedurePath(p)})
	h.On = e.job.Machine.Title
	if p.Edition != "" {
		h.Edition = e.words.T("sheet.edition", p.Edition)
	}
	var err error
	h.Code, err = NewCode(e.lib, leadsTo, says)
	return h, err
}

// name is a thing's name; an unknown id stands for itself.
func (e emitter) name(id string) string {
	if t := e.job.Machine.Thing(id); t != nil {
		return t.Row.Name
	}
	return id
}

func (e emitter) names(refs []procedure.Ref) string {
	var out []string
	for _, r := range refs {
		out = append(out, e.name(r.ID))
	}
	return strings.Join(out, ", ")
}

// joined puts the parts that are not empty on one line.
func joined(parts ...string) string {
	var out []string
	for _, p := range parts {
		if p != "" {
			out = append(out, p)
		}
	}
	return strings.Join(out, " · ")
}
