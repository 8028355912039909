// Package compile turns a library into a site, unit by unit: it reads a procedure
// with what belongs to it, checks it, works out its way back, hands it to the
// emitters and lets it go. It prints nothing.
package compile

import (
	"context"
	"errors"
	"io/fs"
	"strings"

	"matchmark/compile/cache"
	"matchmark/compile/output"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/parallel"
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
	// Stage is what is being done: read, pages.
	Stage       string
	Done, Total int
}

// Summary counts what a compile has written.
type Summary struct {
	Procedures, Pages, Pictures int
	// Advice is how many pieces of advice LeaveOutAdvice kept out of the log of a whole compile.
	Advice int
}

// Options are how a library is compiled. The zero value is good.
type Options struct {
	// Cache keeps what was made from one compile to the next; nil for none.
	Cache *cache.Cache
	// Verify has every file of an old site read before it is taken over, where
	// otherwise its size and time are enough.
	Verify bool
	// LeaveOutAdvice has advice counted and not put into the log, for those who show
	// none. Advice in files that may allow it is in the log all the same.
	LeaveOutAdvice bool
	// Progress is told how far the compile has come, from any goroutine; may be nil.
	Progress func(Progress)
}

// Site compiles a library into a folder. The folder is swapped in as a whole
// when everything is written; on any error, and when ctx ends, the old one stays
// as it was. It returns ErrDiagnostics when the log holds errors, ctx's error,
// *output.Fault when the folder cannot be written, and *InternalError for a fault
// of its own; any other error is the world's.
func Site(ctx context.Context, files fs.FS, out string, log *diagnostic.Log, how Options) (Summary, error) {
	s := NewSession(files, how)
	s.unsummed = s.cache == nil
	return s.Site(ctx, out, log)
}

// Site compiles the whole library into a folder, as the function Site does.
func (s *Session) Site(ctx context.Context, out string, log *diagnostic.Log) (Summary, error) {
	dir, before, err := s.readAgainst(out)
	if err != nil {
		return Summary{}, err
	}
	if before != nil && !s.verify && s.unchanged(ctx, before, dir) {
		for _, d := range before.messages {
			log.Add(s.withText(d))
		}
		return before.summary, nil
	}
	if err := s.swapIn(ctx, out, dir, log); err != nil {
		return Summary{}, err
	}
	return s.summary(), nil
}

// readAgainst reads the library, and what the last compile into a folder was made
// from; nil when that is not known. dir is the folder once links are followed.
func (s *Session) readAgainst(out string) (dir string, before *manifest, err error) {
	dir, unlocated := output.Locate(out) // if there is a fault, it is said when the folder is written
	wait := parallel.Aside("what the last compile left", func() {
		if unlocated == nil {
			before = s.readManifest(dir)
		}
	})
	err = s.read(func() {
		if wait(); before != nil && s.inputs == nil {
			s.inputs = before.inputs
		}
	})
	return dir, before, err
}

// swapIn makes the whole site and swaps it in.
func (s *Session) swapIn(ctx context.Context, out, dir string, log *diagnostic.Log) error {
	build, err := output.Begin(out)
	if err != nil {
		return err
	}
	defer build.Abort()
	build.Trust(s.stamps(dir), s.verify)
	if err := s.compile(ctx, buildStage{build}, log); err != nil {
		return err
	}
	if err := build.Commit(); err != nil {
		return err
	}
	s.keepManifest(dir, build.Stamps(), log)
	s.cache.Trim()
	return nil
}

// summary counts what the site holds.
func (s *Session) summary() Summary {
	var sum Summary
	for _, u := range s.units {
		if u.kind == procedureUnit {
			sum.Procedures++
		}
		sum.Pages += pagesAmong(u.files)
		sum.Advice += s.untold(u.found)
	}
	sum.Advice += s.untold(s.scanned) + s.untold(s.joined)
	sum.Pictures = len(s.shownPictures())
	return sum
}

func pagesAmong(files []cache.File) (n int) {
	for _, f := range files {
		if strings.HasSuffix(f.Path, ".html") {
			n++
		}
	}
	return n
}

// ours marks an emitter's error as a fault of matchmark's own, unless it is the folder's.
func ours(err error) error {
	var fault *output.Fault
	if errors.As(err, &fault) {
		return err
	}
	return &InternalError{err}
}
