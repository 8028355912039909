package compile

import (
	"errors"
	"io/fs"
	"testing"

	"matchmark/compile/library"
	"matchmark/compile/output"
	"matchmark/compile/picture"
	"matchmark/compile/planning"
	"matchmark/compile/quizpage"
	"matchmark/compile/reference"
	"matchmark/compile/sheet"
	"matchmark/compile/site"
	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/diagnostic"
	"matchmark/themes"
)

// wholeSite compiles a library the obvious way: all of it read, checked and held
// at once, then one emitter after the other. It is the yardstick of what the
// units make. On errors the files are nil.
func wholeSite(tb testing.TB, files fs.FS) (map[string][]byte, []diagnostic.Diagnostic) {
	tb.Helper()
	var log diagnostic.Log
	lib, err := checkWhole(files, &log)
	if err != nil {
		tb.Fatal(err)
	}
	if log.HasErrors() {
		return nil, log.Sorted()
	}
	theme, err := themes.Load()
	if err != nil {
		tb.Fatal(err)
	}
	return emitWhole(tb, files, lib, theme), log.Sorted()
}

// emitWhole writes the pages of a library that was loaded.
func emitWhole(tb testing.TB, files fs.FS, lib *procedure.Library, theme *themes.Theme) map[string][]byte {
	tb.Helper()
	sink := &output.Memory{}
	pictures := map[string]*picture.Picture{}
	figures := library.Figures(lib)
	names := library.Pictures(figures)
	for i, r := range picture.PrepareAll(files, names, sink, nil) {
		if r.Err != nil {
			tb.Fatalf("picture %s: %v", names[i], r.Err)
		}
		pictures[names[i]] = &r.Picture
	}
	lib, err := withRefittings(lib, theme)
	if err != nil {
		tb.Fatal(err)
	}
	if err := Questions(lib, theme); err != nil {
		tb.Fatal(err)
	}
	for _, p := range lib.Procedures {
		p.Sheets, p.Drawing = sheet.All(lib, analysis.New(p)), site.DrawingOf(site.Subject(p), pictures)
	}
	for _, m := range lib.Machines {
		if len(m.Figures) > 0 {
			m.Drawing = site.DrawingOf(m.Figures[0], pictures)
		}
	}
	pages, err := site.NewIndex(lib, theme)
	if err != nil {
		tb.Fatal(err)
	}
	_, _, _, err = pages.Update([]site.Change{{Now: func() *procedure.Library { return lib }}}, nil, sink)
	errs := []error{err, site.EmitAssets(lib, theme, sink), reference.Emit(lib, theme, sink)}
	people := map[*procedure.Procedure]int{}
	for _, c := range lib.Courses {
		errs = append(errs, site.EmitCourse(lib, theme, sink, c), planning.EmitCourse(lib, theme, sink, c), sheet.EmitCourse(lib, theme, sink, c))
		for _, s := range c.Sessions {
			for _, item := range s.Items {
				p := item.Procedure
				if p != nil && item.IsRefit {
					p = p.Refitting
				}
				people[p] = planning.People(people[p], c.Pace)
			}
		}
	}
	if g := lib.Glossary; g != nil {
		errs = append(errs, site.EmitGlossary(lib, theme, sink, g))
	}
	for _, m := range lib.Machines {
		errs = append(errs, site.EmitMachine(lib, pictures, theme, sink, m))
	}
	for _, p := range lib.Procedures {
		f := analysis.New(p)
		errs = append(errs, site.EmitProcedure(lib, pictures, theme, sink, f), sheet.EmitProcedure(lib, pictures, theme, sink, f),
			planning.EmitProcedure(lib, theme, sink, f, planning.People(people[p], procedure.Pace{})))
	}
	for _, q := range lib.Quizzes {
		errs = append(errs, quizpage.EmitQuiz(lib, pictures, theme, sink, q))
	}
	if err := errors.Join(errs...); err != nil {
		tb.Fatal(err)
	}
	return sink.Files()
}
