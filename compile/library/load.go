// Package library reads a library and runs every check on it, those that need the
// pictures and the theme included.
package library

import (
	"io/fs"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/check"
	"matchmark/procedure/check/order"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/parallel"
	"matchmark/procedure/refit"
	"matchmark/procedure/source"
)

// Load reads and checks a library. Faults of the author's go to the log; the
// error is the world's, such as a folder that cannot be read.
func Load(fsys fs.FS, log *diagnostic.Log) (*procedure.Library, error) {
	read, err := source.Read(fsys, log)
	if err != nil {
		return nil, err
	}
	lib := read.Resolve(log)
	check.Library(lib, log)
	lookAtFigures(fsys, lib, log)
	if err := CheckLanguage(lib, log); err != nil {
		return nil, err
	}
	checkOrder(lib, log)
	log.Allow(lib.Files)
	return lib, nil
}

// checkOrder carries the machine's state through the procedures, on all processors.
// The order of work is judged once every name leads somewhere: a mistyped name
// would otherwise show as a part that hangs on nothing. So a procedure is passed
// over while a file that it is read from has errors, and no other is.
func checkOrder(lib *procedure.Library, log *diagnostic.Log) {
	faulty := map[string]bool{}
	for _, d := range log.Sorted() {
		if d.Severity == diagnostic.Error && d.Span.File != nil {
			faulty[d.Span.File.Name] = true
		}
	}
	quizzes := map[*procedure.Procedure][]*procedure.Quiz{}
	for _, q := range lib.Quizzes {
		quizzes[q.Procedure] = append(quizzes[q.Procedure], q)
	}
	var judged []*procedure.Procedure
	var names []string
	for _, p := range lib.Procedures {
		if !slices.ContainsFunc(filesOf(p, quizzes[p]), func(name string) bool { return faulty[name] }) {
			judged, names = append(judged, p), append(names, p.File.Name)
		}
	}
	parallel.Each(names, func(i int) { order.Run(judged[i], refit.AdditionsOf(judged[i]), log) })
}

// filesOf lists the files that a procedure and its quizzes are read from.
func filesOf(p *procedure.Procedure, quizzes []*procedure.Quiz) []string {
	out := []string{p.File.Name}
	if p.Machine != nil {
		out = append(out, p.Machine.File.Name)
	}
	for _, s := range p.Steps {
		out = append(out, s.Span.File.Name)
	}
	if p.WayBack != nil {
		out = append(out, p.WayBack.File.Name)
	}
	for _, q := range quizzes {
		out = append(out, q.File.Name)
	}
	return out
}
