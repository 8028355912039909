// Package compile turns a library into a site: it loads, checks, works out and
// hands the result to the emitters. It prints nothing.
package compile

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"sync/atomic"

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

// ErrDiagnostics means that the library has errors; they are in the log, and nothing was written.
var ErrDiagnostics = errors.New("the library has errors")

// InternalError is a fault of matchmark's own: a broken template, or a page written twice.
type InternalError struct{ Err error }

// Error says what went wrong.
func (e *InternalError) Error() string { return e.Err.Error() }

// Unwrap returns the cause.
func (e *InternalError) Unwrap() error { return e.Err }

// Progress says how far a compile has come.
type Progress struct {
	// Stage is what is being done: read, pictures, pages.
	Stage       string
	Done, Total int
}

// Summary counts what a compile has written.
type Summary struct {
	Procedures, Pages, Pictures int
}

// Site compiles a library into a folder. The folder is swapped in as a whole
// when everything is written; on any error the old one stays as it was. It
// returns ErrDiagnostics when the log holds errors, *output.Fault when the folder
// cannot be written, and *InternalError for a fault of its own; any other error
// is the world's. progress may
// be nil; it is called from any goroutine.
func Site(fsys fs.FS, out string, log *diagnostic.Log, progress func(Progress)) (Summary, error) {
	if progress == nil {
		progress = func(Progress) {}
	}
	progress(Progress{Stage: "read"})
	lib, err := library.Load(fsys, log)
	if err != nil {
		return Summary{}, err
	}
	if log.HasErrors() {
		return Summary{}, ErrDiagnostics
	}
	build, err := output.Begin(out)
	if err != nil {
		return Summary{}, err
	}
	sum, err := emit(fsys, lib, build, log, progress)
	if err != nil {
		build.Abort()
		return Summary{}, err
	}
	if err := build.Commit(); err != nil {
		return Summary{}, err
	}
	return sum, nil
}

// emit writes pictures and pages.
func emit(fsys fs.FS, lib *procedure.Library, sink output.Sink, log *diagnostic.Log, progress func(Progress)) (Summary, error) {
	procedures := len(lib.Procedures)
	theme, err := themes.Load()
	if err != nil {
		return Summary{}, &InternalError{fmt.Errorf("loading the theme: %w", err)}
	}
	pictures, err := preparePictures(fsys, lib, sink, log, progress)
	if err != nil {
		return Summary{}, err
	}
	lib, err = withWaysBack(lib, theme)
	if err != nil {
		return Summary{}, &InternalError{err}
	}
	if err := Questions(lib, theme); err != nil {
		return Summary{}, &InternalError{err}
	}
	pages := &counter{out: sink, progress: progress}
	for _, emitter := range []func(*procedure.Library, map[string]*picture.Picture, *themes.Theme, output.Sink) error{
		site.Emit, sheet.Emit, planning.Emit, quizpage.Emit, withoutPictures(reference.Emit),
	} {
		if err := emitter(lib, pictures, theme, pages); err != nil {
			return Summary{}, ours(fmt.Errorf("writing the site: %w", err))
		}
	}
	return Summary{Procedures: procedures, Pages: int(pages.n.Load()), Pictures: len(pictures)}, nil
}

// withoutPictures makes an emitter of one that shows no pictures.
func withoutPictures(emit func(*procedure.Library, *themes.Theme, output.Sink) error) func(*procedure.Library, map[string]*picture.Picture, *themes.Theme, output.Sink) error {
	return func(lib *procedure.Library, _ map[string]*picture.Picture, theme *themes.Theme, out output.Sink) error {
		return emit(lib, theme, out)
	}
}

// ours marks an emitter's error as a fault of matchmark's own, unless it is the folder's.
func ours(err error) error {
	var fault *output.Fault
	if errors.As(err, &fault) {
		return err
	}
	return &InternalError{err}
}

// preparePictures writes the library's pictures and returns them by library path.
func preparePictures(fsys fs.FS, lib *procedure.Library, sink output.Sink, log *diagnostic.Log, progress func(Progress)) (map[string]*picture.Picture, error) {
	figures := library.Figures(lib)
	names := library.Pictures(figures)
	var done atomic.Int64
	results := picture.PrepareAll(fsys, names, sink, func() {
		progress(Progress{Stage: "pictures", Done: int(done.Add(1)), Total: len(names)})
	})
	pictures := map[string]*picture.Picture{}
	var failed error
	for i, r := range results {
		var fault *picture.Fault
		switch {
		case errors.As(r.Err, &fault):
			for _, f := range figures {
				if f.Source == names[i] {
					library.ReportPicture(f, fault, log)
				}
			}
			failed = ErrDiagnostics
		case r.Err != nil:
			return nil, r.Err
		}
		pictures[names[i]] = &r.Picture
	}
	return pictures, failed
}

// counter passes files on and counts the pages among them.
type counter struct {
	out      output.Sink
	progress func(Progress)
	n        atomic.Int64
}

// Write implements output.Sink.
func (c *counter) Write(path string, content []byte) error {
	if strings.HasSuffix(path, ".html") {
		c.progress(Progress{Stage: "pages", Done: int(c.n.Add(1))})
	}
	return c.out.Write(path, content)
}
