package compile

import (
	"errors"
	"fmt"
	"slices"

	"matchmark/compile/cache"
	"matchmark/compile/library"
	"matchmark/compile/picture"
	"matchmark/compile/planning"
	"matchmark/compile/quizpage"
	"matchmark/compile/reference"
	"matchmark/compile/sheet"
	"matchmark/compile/site"
	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

// pages are the files of a unit, with what others show of them.
type pages struct {
	made     bool         // false when errors stand in the way
	files    []cache.File // without content
	pictures []string     // that they show
	entry    []byte       // what lists show: of a procedure its summary, of a machine its drawing, as fields
	site     *siteIndex   // of the start page
	// found are errors that only show when pictures are prepared, err is a fault that is not the author's.
	found []diagnostic.Diagnostic
	err   error
}

func (p *pages) result() *result {
	return &result{value: p, sums: [aspects]cache.Sum{part: cache.SumOf(p.entry)}}
}

// writing makes the pages of one unit.
type writing struct {
	*reading
	*pages
	collector
	log diagnostic.Log
	// hidden is set when an error that is reported elsewhere stands in the way.
	hidden bool
}

// makePages makes the pages of a unit whose check finds no error. It hands on their content.
func makePages(x *reading, name string) *result {
	if name == siteName {
		return makeSite(x)
	}
	if x.get(name, checkKind, whole).value.(*checked).failed() {
		return (&pages{}).result()
	}
	if made := x.fetchPages(name); made != nil {
		return made
	}
	w := x.write(name)
	if w.made {
		x.keepPages(name, w.pages, w.collector.files)
		x.handed.Store(key{pagesKind, name}, w.collector.files)
	}
	return w.pages.result()
}

// write writes the files of a unit.
func (x *reading) write(name string) *writing {
	w := &writing{reading: x, pages: &pages{}, collector: collector{unsummed: x.unsummed, wrote: x.wrote}}
	diagnostic.GuardWork(say.That("making this part of the site"), x.withoutText(name).Span(0, 0), w.log.Add, func() { w.err = w.unit(name) })
	w.pages.found = x.withoutTexts(w.log.Sorted())
	w.made = w.err == nil && !w.hidden && !hasErrors(w.pages.found)
	if !w.made {
		w.pages.entry, w.pages.pictures = nil, nil
		return w
	}
	w.pages.files = withoutContent(w.collector.files)
	return w
}

func (w *writing) unit(name string) error {
	switch name {
	case fixedName:
		lib := w.libraryOf(part).Library
		return errors.Join(site.EmitAssets(lib, w.theme, w), reference.Emit(lib, w.theme, w))
	case siteName:
		return w.allPieces()
	}
	switch r := w.related(name); r.unit {
	case procedureUnit:
		return w.procedurePages(name, r)
	case machineUnit:
		return w.machinePages(name, r)
	case stepsUnit:
		_, err := w.pictured(w.shared(name).part.Figures(), nil)
		w.pictures = nil // procedures show them
		return err
	case courseUnit:
		return w.coursePages(name, r)
	case glossaryUnit:
		if g := w.glossary(); g != nil && name == w.members(glossaryFiles)[0] {
			return site.EmitGlossary(w.library().Library, w.theme, w, g)
		}
	}
	return nil
}

func (w *writing) procedurePages(name string, r *related) error {
	var ignored diagnostic.Log // the check has reported it
	m, _ := w.taken(name).(*procedureModel)
	if m == nil {
		if _, m = w.procedure(name, &ignored); m == nil {
			w.hidden = true
			return nil
		}
		library.CheckFigures(m.own, w.look, &ignored) // which gives figures their sizes
	}
	pictures, err := w.pictured(m.own, m.other)
	if err != nil || w.hidden || len(m.errors) > 0 {
		w.hidden = true
		return err
	}
	lib := withRefitting(m.lib, m.Procedure, m.facts.Derive(m.add, m.words).Procedure)
	if err := Questions(lib, w.theme, m.facts); err != nil {
		return err
	}
	ways := []*analysis.Procedure{m.facts}
	people := []int{r.people, r.back}
	if back := m.facts.Refitting(); back != nil {
		ways = append(ways, back)
	}
	w.entry = summaryOf(m.Procedure, lib.Quizzes, func(p *procedure.Procedure) (sheets []procedure.SheetOf, drawing procedure.Drawing) {
		for _, x := range ways {
			if x.Procedure == p {
				return sheet.All(lib, x), site.DrawingOf(site.Subject(p), pictures)
			}
		}
		return nil, drawing
	})
	for i, x := range ways {
		err := errors.Join(
			site.EmitProcedure(lib, pictures, w.theme, w, x),
			sheet.EmitProcedure(lib, pictures, w.theme, w, x),
			planning.EmitProcedure(lib, w.theme, w, x, planning.People(people[i], procedure.Pace{})),
		)
		if err != nil {
			return err
		}
	}
	for _, q := range lib.Quizzes {
		emit := quizpage.EmitQuiz
		if w.withoutKeys {
			emit = quizpage.EmitForLearners
		}
		if err := emit(lib, pictures, w.theme, w, q); err != nil {
			return err
		}
	}
	return nil
}

// taken is what the check of a unit has read and left, nil if it is not there.
func (w *writing) taken(name string) any {
	model, _ := w.handed.LoadAndDelete(key{pagesKind, name})
	return model
}

// pictured prepares the pictures of figures and notes that they are shown. Faults
// are reported where a figure is the unit's own.
func (w *writing) pictured(own, other []*procedure.Figure) (map[string]*picture.Picture, error) {
	out := map[string]*picture.Picture{}
	var failed error
	for i, f := range slices.Concat(own, other) {
		if f.Source == "" {
			continue // reported by the reader
		}
		report := w.log.Add
		if i >= len(own) {
			report = func(diagnostic.Diagnostic) { w.hidden = true } // reported where the figure is defined
		}
		diagnostic.GuardWork(say.That(library.LookingAtPicture), f.SourceSpan, report, func() {
			made, err := w.preparePicture(f, i < len(own))
			failed = errors.Join(failed, err)
			if made != nil {
				out[f.Source] = made
			}
		})
	}
	return out, failed
}

// preparePicture prepares the picture of one figure; nil when it cannot be used.
func (w *writing) preparePicture(f *procedure.Figure, own bool) (*picture.Picture, error) {
	if !slices.Contains(w.pictures, f.Source) {
		w.pictures = append(w.pictures, f.Source)
	}
	if _, err := w.look(f.Source); err != nil {
		return nil, nil // reported where it was looked at
	}
	made := w.get(f.Source, preparedKind, whole).value.(*pages)
	fault := picture.IsFault(made.err)
	switch {
	case fault != nil && own:
		library.ReportPicture(f, fault, &w.log)
	case fault != nil:
		w.hidden = true
	case made.err != nil:
		return nil, made.err
	}
	out := readPicture(made.entry)
	out.Source = f.Source
	return &out, nil
}

func (w *writing) machinePages(name string, r *related) error {
	m := w.shared(name).part.Machine()
	if m == nil {
		w.hidden = true
		return nil
	}
	lib := w.library().Library
	lib.Machines = []*procedure.Machine{m}
	for _, p := range r.procedures {
		shown := w.get(p, pagesKind, part).value.(*pages)
		if shown.entry == nil {
			w.hidden = true
			return nil
		}
		of, _, err := readSummary(shown.entry, m)
		if err != nil {
			return fmt.Errorf("reading the summary of %s: %w", p, err)
		}
		lib.Procedures = append(lib.Procedures, of)
	}
	pictures, err := w.pictured(figuresOf(m))
	if err != nil || w.hidden {
		return err
	}
	if len(m.Figures) > 0 {
		var f cache.Fields
		writeDrawing(&f, site.DrawingOf(m.Figures[0], pictures))
		w.entry = f.B
	}
	return site.EmitMachine(lib, pictures, w.theme, w, m)
}

func (w *writing) coursePages(name string, r *related) error {
	lib, _ := w.taken(name).(*procedure.Library)
	if lib == nil {
		lib = w.course(name, r, &diagnostic.Log{})
	}
	if len(lib.Courses) == 0 {
		w.hidden = true
		return nil
	}
	lib, err := withRefittings(lib, w.theme)
	if err != nil {
		return err
	}
	if err := Questions(lib, w.theme); err != nil {
		return err
	}
	c := lib.Courses[0]
	return errors.Join(site.EmitCourse(lib, w.theme, w, c), planning.EmitCourse(lib, w.theme, w, c), sheet.EmitCourse(lib, w.theme, w, c))
}

// pagesGroup is what lists show of some procedures, and the pictures on their pages.
type pagesGroup struct {
	shown    []shown
	pictures []string
}

// shown is what lists show of one procedure.
type shown struct {
	file, machine string
	entry         []byte
	sum           cache.Sum
}

func makePagesGroup(x *reading, name string) *result {
	g := &pagesGroup{}
	var of []any
	for _, p := range x.members(name) {
		r := x.get(p, pagesKind, whole)
		made := r.value.(*pages)
		g.pictures = append(g.pictures, made.pictures...)
		s := shown{p, x.related(p).machine, made.entry, r.sums[part]}
		if s.entry != nil {
			g.shown = append(g.shown, s)
			of = append(of, s.file, s.machine, s.sum)
		}
	}
	slices.Sort(g.pictures)
	g.pictures = slices.Compact(g.pictures)
	return &result{value: g, sums: [aspects]cache.Sum{part: sumOf(of...)}}
}
