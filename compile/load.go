// Package compile turns a library into a site: it loads, checks, works out and
// hands the result to the emitters. It prints nothing.
package compile

import (
	"io/fs"

	"matchmark/procedure"
	"matchmark/procedure/check"
	"matchmark/procedure/diagnostic"
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
	checkFigures(fsys, lib, log)
	log.Allow(lib.Files)
	return lib, nil
}
