// Package library reads a library and runs every check on it, those that need the
// pictures and the theme included.
package library

import (
	"io/fs"

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
	// The order of work is judged once every name leads somewhere: a mistyped
	// name would otherwise show as a part that hangs on nothing.
	if !log.HasErrors() {
		checkOrder(lib, log)
	}
	log.Allow(lib.Files)
	return lib, nil
}

// checkOrder carries the machine's state through every procedure, on all processors.
func checkOrder(lib *procedure.Library, log *diagnostic.Log) {
	var names []string
	for _, p := range lib.Procedures {
		names = append(names, p.File.Name)
	}
	parallel.Each(names, func(i int) { order.Run(lib.Procedures[i], refit.AdditionsOf(lib.Procedures[i]), log) })
}
