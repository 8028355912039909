package compile

import (
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
	"matchmark/procedure/diagnostic"
	"matchmark/themes"
)

// wholeSite compiles a library the obvious way: all of it read, checked and held
// at once, then one emitter after the other. It is the yardstick of what the
// units make. On errors the files are nil.
func wholeSite(tb testing.TB, files fs.FS) (map[string][]byte, []diagnostic.Diagnostic) {
	tb.Helper()
	var log diagnostic.Log
	lib, err := library.Load(files, &log)
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
	lib, err := withWaysBack(lib, theme)
	if err != nil {
		tb.Fatal(err)
	}
	if err := Questions(lib, theme); err != nil {
		tb.Fatal(err)
	}
	emitters := []func(*procedure.Library, map[string]*picture.Picture, *themes.Theme, output.Sink) error{
		site.Emit, sheet.Emit, planning.Emit, quizpage.Emit,
		func(lib *procedure.Library, _ map[string]*picture.Picture, theme *themes.Theme, out output.Sink) error {
			return reference.Emit(lib, theme, out)
		},
	}
	for _, emit := range emitters {
		if err := emit(lib, pictures, theme, sink); err != nil {
			tb.Fatal(err)
		}
	}
	return sink.Files()
}
