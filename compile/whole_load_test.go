package compile

import (
	"io/fs"
	"slices"

	"matchmark/compile/library"
	"matchmark/compile/picture"
	"matchmark/procedure"
	"matchmark/procedure/cause"
	"matchmark/procedure/check"
	"matchmark/procedure/check/order"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/parallel"
	"matchmark/procedure/refit"
	"matchmark/procedure/source"
)

// checkWhole reads and checks a library the obvious way, all of it at once. It is the
// yardstick of what the build graph finds unit by unit.
func checkWhole(fsys fs.FS, log *diagnostic.Log) (*procedure.Library, error) {
	read, err := source.Read(fsys, log)
	if err != nil {
		return nil, err
	}
	lib := read.Resolve(log)
	check.Library(lib, log)
	library.CheckFigures(library.Figures(lib), func(name string) (*picture.Source, error) { return picture.Read(fsys, name) }, log)
	if err := library.CheckLanguage(lib, log); err != nil {
		return nil, err
	}
	checkOrder(lib, log)
	read.OldForms(log)
	log.Allow(lib.Files)
	log.Link(cause.Link)
	return lib, nil
}

// checkOrder carries the machine's state through the procedures, on all processors.
// A mistyped name must not show as a part that hangs on nothing: what depends on the
// errors in the files that a procedure is read from is not judged.
func checkOrder(lib *procedure.Library, log *diagnostic.Log) {
	errors := map[string][]diagnostic.Diagnostic{}
	for _, d := range log.Sorted() {
		if d.Severity == diagnostic.Error && d.Span.File != nil {
			errors[d.Span.File.Name] = append(errors[d.Span.File.Name], d)
		}
	}
	var names []string
	for _, p := range lib.Procedures {
		names = append(names, p.File.Name)
	}
	parallel.Each(names, func(i int) {
		p := lib.Procedures[i]
		var of []diagnostic.Diagnostic
		for _, name := range filesOf(p) {
			of = append(of, errors[name]...)
		}
		order.RunDespite(p, refit.AdditionsOf(p), of, log)
	})
}

// filesOf lists the files that a procedure is read from, each once.
func filesOf(p *procedure.Procedure) []string {
	out := []string{p.File.Name}
	if p.Machine != nil {
		out = append(out, p.Machine.File.Name)
	}
	for _, s := range p.Steps {
		out = append(out, s.Span.File.Name)
	}
	if p.RefitFile != nil {
		out = append(out, p.RefitFile.File.Name)
	}
	slices.Sort(out)
	return slices.Compact(out)
}
