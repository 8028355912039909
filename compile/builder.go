package compile

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"iter"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"matchmark/compile/cache"
	"matchmark/compile/picture"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/parallel"
	"matchmark/procedure/source"
	"matchmark/procedure/text"
	"matchmark/themes"
)

// attempts is how often a compile starts over when files change under it.
const attempts = 5

// Builder checks and compiles one library, as often as it changes. It holds the newest
// snapshot of the library and what all snapshots share; it serves one call at a time.
type Builder struct {
	folder   fs.FS
	cache    *cache.Cache
	build    cache.Sum
	theme    *themes.Theme // nil until pages are wanted
	reader   *source.Reader
	progress func(Progress)
	trace    func(line string)
	// brief has advice counted and left out of the log; see Options.LeaveOutAdvice.
	brief bool
	// verify has the files of an old site read before they are taken over.
	verify bool
	// withoutKeys leaves the answer keys of quizzes out; see Options.WithoutKeys.
	withoutKeys bool
	// unsummed leaves the sums of pages out: one site is made, and neither a cache nor a later update asks for them.
	unsummed bool

	now      *snapshot // nil until the library is read
	preparer *picture.Preparer
	written  atomic.Int64 // pages

	// readers are, of everything that was ever read, those who read it.
	readers  map[facet][]key
	nameOnly map[string]*text.File
	linking  sync.Mutex // guards both

	watched
}

// NewBuilder returns a builder of a library.
func NewBuilder(files fs.FS, how Options) *Builder {
	b := &Builder{
		folder: files, cache: how.Cache, reader: source.NewReader(), progress: how.Progress, trace: how.Trace, brief: how.LeaveOutAdvice, verify: how.Verify, withoutKeys: how.WithoutKeys,
		preparer: picture.NewPreparer(), readers: map[facet][]key{}, nameOnly: map[string]*text.File{}, watched: watched{unplaced: map[string]bool{}},
	}
	if b.progress == nil {
		b.progress = func(Progress) {}
	}
	var err error
	if b.build, err = buildSum(); err != nil {
		b.cache = nil // nobody can say what the cache's pages were made with
	}
	if b.withoutKeys {
		b.build = cache.SumOf(append([]byte("without answer keys "), b.build[:]...)) // other pages, which a cache keeps apart
	}
	return b
}

// read learns what the library holds now.
func (b *Builder) read() error {
	b.progress(Progress{Stage: "read"})
	if b.now == nil {
		clear(b.readers)
		b.now = &snapshot{Builder: b, files: b.over.Onto(b.folder), over: b.over}
	} else {
		b.follow(b.now.next(b.over, b.now.leavesBelow(""), nil))
	}
	l := b.now.get(key{kind: listingKind}).value.(*listing)
	if err := errors.Join(l.err, b.now.get(key{kind: settingsKind}).value.(*settings).err); err != nil {
		b.now = nil
		return err
	}
	parallel.Each(l.names, func(i int) { b.now.get(key{fileKind, l.names[i]}) })
	return nil
}

// unplaceAll notes that any unit may be another one than the site's folder holds.
func (b *Builder) unplaceAll() {
	for name := range b.now.allUnits() {
		b.unplaced[name] = true
	}
	if b.site != nil {
		for k := range b.site.units {
			if k.kind == pagesKind {
				b.unplaced[k.name] = true
			}
		}
	}
}

// follow makes the next snapshot the newest one, and notes which units it may have changed.
func (b *Builder) follow(next *snapshot) {
	before := b.now
	b.now = next
	if b.site != nil && before.index() != next.index() {
		for name := range next.allUnits() {
			if _, placed := b.site.units[key{pagesKind, name}]; !placed {
				b.unplaced[name] = true
			}
		}
	}
	for _, k := range next.suspects {
		if k.kind == checkKind || k.kind == pagesKind {
			b.unplaced[k.name] = true
		}
	}
}

// wanted are the units that are looked at; the zero value is all.
type wanted struct {
	units []string
	// checkFirst has pages made only once the checks find no error.
	checkFirst bool
}

// compile makes the pages of units and stages their files, and those of all pictures. The
// messages of the whole library go to the log. It returns how much advice was left out.
func (b *Builder) compile(ctx context.Context, into stage, of wanted, log *diagnostic.Log) (untold int, err error) {
	if b.theme == nil {
		if b.theme, err = themes.Load(); err != nil {
			return 0, &InternalError{fmt.Errorf("loading the theme: %w", err)}
		}
	}
	for range attempts {
		r := &run{snapshot: b.now, ctx: ctx, stage: into}
		b.written.Store(0)
		err := r.all(of)
		r.making.Store(false)
		r.handed.Clear()
		if !r.moved.Load() {
			if err != nil {
				if ctx.Err() == nil {
					b.now = nil // what failed is tried again
				}
				return 0, err
			}
			return r.report(log)
		}
		b.now, of = nil, wanted{} // nobody knows what else has changed
		if err := b.read(); err != nil {
			return 0, err
		}
		b.unplaceAll()
	}
	return 0, errMoved
}

// run is one look at the units of a snapshot.
type run struct {
	*snapshot
	ctx   context.Context
	stage stage
	// broken is set when an error was found: no more pages are made.
	broken atomic.Bool
	found  []diagnostic.Diagnostic // by those who made pages
	adding sync.Mutex
}

func (r *run) report(log *diagnostic.Log) (untold int, err error) {
	untold = r.snapshot.report(log, r.found)
	switch {
	case log.HasErrors():
		return untold, ErrDiagnostics
	case r.broken.Load():
		return untold, &InternalError{errors.New("pages were left out, and no message says why")}
	}
	return untold, nil
}

// all looks at the units, and makes their pages unless there are errors.
func (r *run) all(of wanted) error {
	names := of.units
	if names == nil {
		names = slices.Collect(r.allUnits())
	}
	if of.checkFirst {
		if err := r.units(names); err != nil {
			return err
		}
		if r.failed() {
			r.fail(nil)
			return nil
		}
	}
	r.making.Store(!r.joining().failed)
	r.broken.Store(!r.making.Load())
	if err := r.units(names); err != nil || r.broken.Load() {
		return err
	}
	return r.stagePictures()
}

// allUnits are the names of all units of the library.
func (s *snapshot) allUnits() iter.Seq[string] {
	return func(yield func(string) bool) {
		for _, group := range append(slices.Clone(s.members(allGroups)), otherUnits) {
			for _, name := range s.members(group) {
				if !yield(name) {
					return
				}
			}
		}
		_ = yield(fixedName) && yield(siteName)
	}
}

// units looks at some units, on all processors: first those of which others read.
func (r *run) units(names []string) error {
	for _, wave := range r.unitsIn(names) {
		slices.Sort(wave)
		errs := make([]error, len(wave))
		parallel.Each(wave, func(i int) { errs[i] = r.unit(wave[i]) })
		for _, err := range errs {
			if err != nil {
				return err
			}
		}
		if r.moved.Load() {
			return errMoved
		}
	}
	return nil
}

// unit checks a unit, and makes and stages its pages where they are wanted.
func (r *run) unit(name string) error {
	if err := r.ctx.Err(); err != nil || r.moved.Load() {
		return err
	}
	if name != siteName && r.get(key{checkKind, name}).value.(*checked).failed() {
		r.fail(nil)
	}
	if !r.making.Load() {
		return nil
	}
	p := r.pages(key{pagesKind, name})
	switch {
	case p.err != nil:
		return ours(fmt.Errorf("writing the site: %w", p.err))
	case !p.made:
		r.fail(p.found)
		return nil
	}
	return r.stagePages(key{pagesKind, name})
}

// fail notes that errors were found.
func (r *run) fail(found []diagnostic.Diagnostic) {
	r.making.Store(false)
	r.broken.Store(true)
	r.adding.Lock()
	defer r.adding.Unlock()
	r.found = append(r.found, found...)
}

// Check looks for faults in the library, with unsaved text laid over it; nothing is
// written. The first Check reads everything, a later one what has changed: the files of
// the overlay that differ from the overlay before, and those that changed names. Faults of the author's go to
// the log; the error is the world's, such as a folder that cannot be read.
func (b *Builder) Check(ctx context.Context, over Overlay, changed []string, log *diagnostic.Log) error {
	if err := b.Look(over, changed); err != nil {
		return err
	}
	return b.CheckAll(ctx, log)
}

// settled looks at units of the library, and looks again where files changed meanwhile.
func (b *Builder) settled(ctx context.Context, units func(*snapshot) []string) error {
	for range attempts {
		r := &run{snapshot: b.now, ctx: ctx}
		err := r.units(units(b.now))
		r.handed.Clear()
		if !r.moved.Load() {
			return err
		}
		b.now = nil
		if err := b.read(); err != nil {
			return err
		}
		b.unplaceAll()
	}
	return errMoved
}

func (s *snapshot) members(of string) []string { return s.index().members[of] }

func (s *snapshot) pages(k key) *pages { return s.get(k).value.(*pages) }

func (s *snapshot) looked(name string) *looked {
	return s.get(key{pictureKind, name}).value.(*looked)
}

func (b *Builder) wrote(path string) {
	if strings.HasSuffix(path, ".html") {
		b.progress(Progress{Stage: "pages", Done: int(b.written.Add(1))})
	}
}
