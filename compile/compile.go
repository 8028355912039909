// Package compile turns a library into a site, unit by unit: it reads a procedure
// with what belongs to it, checks it, works out its refitting, hands it to the
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
	"matchmark/procedure/text"
)

// ErrDiagnostics means that the library has errors; they are in the log, and nothing was written.
var ErrDiagnostics = errors.New("the library has errors")

// InternalError is a fault of matchmark's own: a page that cannot be made, or a page written twice.
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
	// WithoutKeys leaves out the answer keys of quizzes, which are for the trainer alone.
	WithoutKeys bool
	// Trace is told of each result that is made, and why; may be nil.
	Trace func(line string)
	// Progress is told how far the compile has come, from any goroutine; may be nil.
	Progress func(Progress)
}

// Site compiles a library into a folder. The folder is swapped in as a whole
// when everything is written; on any error, and when ctx ends, the old one stays
// as it was. It returns ErrDiagnostics when the log holds errors, ctx's error,
// *output.Fault when the folder cannot be written, and *InternalError for a fault
// of its own; any other error is the world's.
func Site(ctx context.Context, files fs.FS, out string, log *diagnostic.Log, how Options) (Summary, error) {
	b := NewBuilder(files, how)
	b.unsummed = b.cache == nil
	return b.Site(ctx, out, log)
}

// Site compiles the whole library into a folder, as the function Site does.
func (b *Builder) Site(ctx context.Context, out string, log *diagnostic.Log) (Summary, error) {
	dir, before, err := b.readAgainst(out)
	if err != nil {
		return Summary{}, err
	}
	if before != nil && !b.verify && b.unchanged(ctx, before, dir) {
		texts := map[string]*text.File{}
		for _, d := range before.messages {
			log.Add(b.now.withText(d, texts))
		}
		return before.summary, nil
	}
	return b.swapIn(ctx, out, dir, log)
}

// readAgainst reads the library, and what the last compile into a folder was made
// from; nil when that is not known. dir is the folder once links are followed.
func (b *Builder) readAgainst(out string) (dir string, before *manifest, err error) {
	dir, unlocated := output.Locate(out) // if there is a fault, it is said when the folder is written
	wait := parallel.Start("what the last compile left", func() {
		if unlocated == nil {
			before = b.readManifest(dir)
		}
	})
	err = b.read()
	wait()
	return dir, before, err
}

// swapIn makes the whole site and swaps it in.
func (b *Builder) swapIn(ctx context.Context, out, dir string, log *diagnostic.Log) (Summary, error) {
	build, err := output.Begin(out)
	if err != nil {
		return Summary{}, err
	}
	defer build.Abort()
	build.Trust(b.stamps(dir), b.verify)
	untold, err := b.compile(ctx, buildStage{build}, wanted{}, log)
	if err != nil {
		return Summary{}, err
	}
	if err := build.Commit(); err != nil {
		return Summary{}, err
	}
	sum := b.now.summary(untold)
	b.keepManifest(dir, build.Stamps(), sum, log)
	b.cache.Trim()
	return sum, nil
}

// summary counts what the site holds.
func (s *snapshot) summary(untold int) Summary {
	sum := Summary{Pictures: len(s.shownPictures()), Advice: untold}
	for name := range s.allUnits() {
		if s.index().unit(name) == procedureUnit {
			sum.Procedures++
		}
		sum.Pages += pagesAmong(s.pages(key{pagesKind, name}).files)
	}
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
