// Package workorder emits the work order of a job record, and the checklist of the
// refitting with each repair in front of the step that waits for it. Both are pages
// that are printed. They lie in a folder of their own, or come from a server that has the site.
package workorder

import (
	"bytes"
	"time"

	"matchmark/compile/page"
	"matchmark/compile/picture"
	"matchmark/compile/sheet"
	"matchmark/procedure"
	"matchmark/procedure/record"
	"matchmark/procedure/say"
	"matchmark/procedure/workorder"
	"matchmark/themes"
)

// Options say where the pages stand. The zero value is for a folder of their own.
type Options struct {
	// Zone is what clock times are shown in; nil for UTC.
	Zone *time.Location
	// Root is the link to the folder that holds assets/ and pictures/, with its slash; empty for the pages' own folder.
	Root string
	// Photo returns the link to a photo; an empty one says that it is not there.
	// Nil for photos/NAME.jpg, all of them there.
	Photo func(name string) string
	// Order and Checklist are the links from one page to the other. Without Checklist there is none.
	Order, Checklist string
	// Crumbs lead to the pages; there may be none.
	Crumbs []page.Crumb
	// Pictures are the library's, for the figures of the checklist; nil for a checklist without figures.
	Pictures map[string]*picture.Picture
}

// Emitter makes the pages of one work order.
type Emitter struct {
	lib     *procedure.Library
	theme   *themes.Theme
	words   *themes.Words
	order   *workorder.Order
	options Options
	// tablets numbers the tablets from 1, by their names.
	tablets map[string]int
}

// Unplaced says why a record has no place in a library.
type Unplaced struct {
	// Procedure is the name that the library does not have; empty when it is the variant.
	Procedure, Variant string
}

// Error says what is missing.
func (e *Unplaced) Error() string { return e.Says().String() }

// Says says what is missing.
func (e *Unplaced) Says() say.Text {
	if e.Procedure != "" {
		return say.That("the library has no procedure %id", say.Quoted(e.Procedure))
	}
	return say.That("the machine has no variant %id", say.Quoted(e.Variant))
}

// New works out the work order of a record. The library has the refittings behind
// its procedures (see compile.DeriveRefittings). others are further names of the same job.
// The error is an *Unplaced, or about a language without words.
func New(lib *procedure.Library, theme *themes.Theme, r *record.Record, options Options, others ...string) (*Emitter, error) {
	words, err := theme.Words(lib.Language)
	if err != nil {
		return nil, err
	}
	e := &Emitter{lib: lib, theme: theme, words: words, options: options}
	for _, p := range lib.Procedures {
		if p.ID == r.Procedure && p.Machine != nil {
			if e.order = workorder.New(r, p, others...); e.order == nil {
				return nil, &Unplaced{Variant: r.Variant}
			}
		}
	}
	if e.order == nil {
		return nil, &Unplaced{Procedure: r.Procedure}
	}
	if e.options.Zone == nil {
		e.options.Zone = time.UTC
	}
	if e.options.Photo == nil {
		e.options.Photo = PhotoPath
	}
	e.tablets = numbered(r)
	return e, nil
}

// PhotoPath is where a photo lies beside a record, and beside the work order.
func PhotoPath(name string) string { return "photos/" + name + ".jpg" }

// Order is what the pages are made from.
func (e *Emitter) Order() *workorder.Order { return e.order }

// Page returns the work order.
func (e *Emitter) Page() ([]byte, error) {
	var out bytes.Buffer
	err := page.Render(&out, orderPage(e.view()))
	return out.Bytes(), err
}

// HasChecklist reports whether anything goes back.
func (e *Emitter) HasChecklist() bool { return e.order.Back != nil && len(e.order.Back.Steps) > 0 }

// Checklist returns the checklist of the refitting, with the repairs in it.
func (e *Emitter) Checklist() ([]byte, error) {
	repairs := sheet.Repairs{First: e.repairs(nil), Before: map[string][]sheet.Repair{}}
	for _, s := range e.order.Back.Steps {
		if list := e.repairs(s); len(list) > 0 {
			repairs.Before[s.ID] = list
		}
	}
	var out bytes.Buffer
	err := sheet.Gated(&out, e.lib, e.order.Taken, e.options.Pictures, e.theme, repairs, func(h *sheet.Head) {
		e.place(h)
		h.Code = nil
		if e.options.Order != "" {
			h.Crumbs = append(h.Crumbs, page.Crumb{Title: e.words.T("workorder.title"), Link: e.options.Order})
		}
	})
	return out.Bytes(), err
}

// place puts a sheet's head where the options say.
func (e *Emitter) place(h *sheet.Head) {
	h.Root = e.options.Root
	h.Crumbs = append([]page.Crumb(nil), e.options.Crumbs...)
	h.Styles = []string{"sheet.css", "workorder.css"}
}

// repairs lists what a step of the refitting waits for; with nil what all of it waits for.
func (e *Emitter) repairs(s *procedure.Step) []sheet.Repair {
	var out []sheet.Repair
	for _, f := range e.order.Gated(s) {
		out = append(out, sheet.Repair{
			Number: f.Number, Thing: e.thing(f), Kind: e.words.T("workorder.kind." + string(f.Kind)), Words: f.Finding.Repair,
			Stops: f.Stops(),
		})
	}
	return out
}
