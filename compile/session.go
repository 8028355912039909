package compile

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"iter"
	"maps"
	"slices"
	"sync"
	"sync/atomic"

	"matchmark/compile/cache"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/parallel"
	"matchmark/procedure/source"
	"matchmark/procedure/text"
	"matchmark/themes"
)

// errMoved says that a file changed while it was compiled.
var errMoved = errors.New("a file of the library changed while it was compiled")

// attempts is how often a compile starts over when files change under it.
const attempts = 5

// Session compiles one library, as often as it changes. It works unit by unit: a
// procedure with its refitting, sheets and quizzes, a machine, a course, the pages
// on the whole. What a unit is made from is let go once its files are staged;
// kept are the sums of everything, the messages, and a card of each procedure.
type Session struct {
	files    fs.FS
	cache    *cache.Cache
	build    cache.Sum
	theme    *themes.Theme
	reader   *source.Reader
	progress func(Progress)
	// brief leaves advice out of the log, which nobody reads while a library is written.
	brief bool
	// verify has the files of an old site read before they are taken over.
	verify bool
	// unsummed leaves the sums of pages out: one site is made, and neither a cache nor a later update asks for them.
	unsummed bool

	// What is known of the library.
	settings    *source.Library
	settingsSum cache.Sum
	scanned     []diagnostic.Diagnostic // from reading the folder and the settings
	inputs      map[string]*input
	index       *index
	joined      []diagnostic.Diagnostic // from joining the files
	pictures    *pictures
	units       map[unitName]*unit

	// updates is true for a session that brings a site up to date again and again; it keeps overall from one to the next.
	updates bool
	overall *overall
	// readying is the making of overall behind an update.
	readying sync.WaitGroup
	// cards is the sum of all procedures' cards; nil when it is not known.
	cards *cache.Sum
	// recarded are the files of procedures whose cards have changed since the pages on the whole were made; nil when any may have.
	recarded map[string]bool

	// What is known of the units, so that an update need not look at all of them; nil when it is not known.
	behind  map[unitName]bool // those that are not made, or have errors
	telling map[unitName]bool // those with messages that are reported
	showing []string          // the pictures that they show, in order
	// picturesStand says that the pictures in the folder are those that are shown, and
	// rejoined that units may have come or gone since the folder was written.
	picturesStand, rejoined bool

	// site is the site that Update wrote last; nil when it must be written whole.
	site *placed
	// faulty is the folder that Update could not make a site in, because of errors in the library.
	faulty string
	// unplaced are the units that were made since the folder was written last.
	unplaced map[unitName]bool

	// What belongs to one update. With only, units that are not dirty are passed over.
	only bool
	// checking is true while units are looked at for errors only.
	checking bool
	dirty    map[unitName]bool
	stage    stage
	broken   atomic.Bool // an error was found: no more pages are made
	pages    atomic.Int64
	moved    atomic.Bool
	mu       sync.Mutex
	shared   map[string]*shared
	bares    map[string]*text.File
	texts    map[string]*text.File
	written  map[*prepared]bool
	// Recompiled lists the units that were made anew in the last update, for tests.
	recompiled []string
}

// NewSession returns a session on a library.
func NewSession(files fs.FS, how Options) *Session {
	s := &Session{
		files: files, cache: how.Cache, reader: source.NewReader(), progress: how.Progress, brief: how.LeaveOutAdvice, verify: how.Verify,
		units: map[unitName]*unit{}, dirty: map[unitName]bool{}, unplaced: map[unitName]bool{},
		bares: map[string]*text.File{}, texts: map[string]*text.File{},
	}
	if s.progress == nil {
		s.progress = func(Progress) {}
	}
	var err error
	if s.build, err = buildSum(); err != nil {
		s.cache = nil // nobody can say what the cache's pages were made with
	}
	s.pictures = newPictures(files, s.build, s.cache)
	return s
}

// compile makes every unit that is not up to date with the library as it was last
// read, and stages every file. Faults of the author's go to the log.
func (s *Session) compile(ctx context.Context, into stage, log *diagnostic.Log) error {
	if s.theme == nil {
		theme, err := themes.Load()
		if err != nil {
			return &InternalError{fmt.Errorf("loading the theme: %w", err)}
		}
		s.theme = theme
	}
	for range attempts {
		s.begin(into)
		s.join()
		s.judge()
		err := s.makeAll(ctx)
		if !s.moved.Load() {
			if err != nil {
				return err
			}
			s.dirty = map[unitName]bool{}
			s.lookBehind()
			return s.report(log)
		}
		s.only = false // nobody knows what else has changed
		s.pictures = newPictures(s.files, s.build, s.cache)
		if err := s.read(); err != nil {
			return err
		}
	}
	return fmt.Errorf("%w, again and again", errMoved)
}

func (s *Session) begin(into stage) {
	s.stage = into
	s.broken.Store(false)
	s.moved.Store(false)
	s.pages.Store(0)
	s.shared, s.texts, s.written = map[string]*shared{}, map[string]*text.File{}, map[*prepared]bool{}
	s.recompiled = nil
	if !s.only {
		s.recarded, s.cards, s.behind, s.picturesStand = nil, nil, nil, false
	}
}

// read learns what the library holds now.
func (s *Session) read() error {
	var log diagnostic.Log
	s.progress(Progress{Stage: "read"})
	err := s.scan(&log)
	s.scanned = s.bareAll(log.Sorted())
	return err
}

// join builds the index anew, and with it the list of units.
func (s *Session) join() {
	if s.only {
		return // the files are what they were, but for what stands in them
	}
	var log diagnostic.Log
	s.index = newIndex(s.inputs, &log)
	s.joined = s.bareAll(log.Sorted())
	units := map[unitName]*unit{}
	for _, name := range s.unitNames() {
		u := s.units[name]
		if u == nil {
			u = &unit{unitName: name}
		}
		units[name] = u
	}
	s.units = units
	s.telling, s.showing, s.rejoined = nil, nil, true
}

// judge says whether pages can be made at all, from what is known before a unit is.
func (s *Session) judge() {
	if s.unjoined() {
		s.broken.Store(true)
	}
}

// unjoined reports whether the folder, the settings or the names that files take have errors.
func (s *Session) unjoined() bool { return hasErrors(s.joined) || hasErrors(s.scanned) }

// unitNames lists the units of the library as it is.
func (s *Session) unitNames() []unitName {
	names := []unitName{{overallUnit, ""}, {fixedUnit, ""}}
	for _, name := range s.index.names {
		kind := strayUnit
		switch h := s.inputs[name].heading; {
		case h.Kind == "refit":
			if s.index.procedures[h.Of] != "" {
				continue // read with its procedure
			}
		case h.ID == "":
		case h.Kind == "procedure":
			kind = procedureUnit
		case h.Kind == "machine":
			kind = machineUnit
		case h.Kind == "steps":
			kind = stepsUnit
		case h.Kind == "course":
			kind = courseUnit
		case h.Kind == "quiz":
			if s.index.procedures[h.Of] != "" {
				continue
			}
		}
		names = append(names, unitName{kind, name})
	}
	return names
}

// makeAll makes every unit that is not up to date. While an update knows of errors it
// looks at what has them and at what has changed; the rest is made once these are gone.
func (s *Session) makeAll(ctx context.Context) error {
	if s.only && (s.broken.Load() || s.erring()) {
		s.checking = true
		s.broken.Store(true)
		err := s.makeKinds(ctx)
		s.checking = false
		if err != nil || s.erring() || s.unjoined() {
			return err
		}
		s.broken.Store(false)
	}
	if err := s.makeKinds(ctx); err != nil {
		return err
	}
	return s.stagePictures(ctx)
}

// erring reports whether a unit has errors, as far as it is known.
func (s *Session) erring() bool {
	for name := range s.behind {
		if u := s.units[name]; u != nil && hasErrors(u.found) {
			return true
		}
	}
	return false
}

// makeKinds makes the units that are wanted: procedures first, then what is made from their cards.
func (s *Session) makeKinds(ctx context.Context) error {
	for _, kinds := range [][]unitKind{{procedureUnit, strayUnit, fixedUnit}, {machineUnit, stepsUnit, courseUnit}, {overallUnit}} {
		if err := s.makeUnits(ctx, s.wantedUnits(kinds...)); err != nil {
			return err
		}
		if s.moved.Load() {
			return errMoved
		}
	}
	return nil
}

// wantedUnits lists the units of some kinds that are looked at in this update, in order.
func (s *Session) wantedUnits(kinds ...unitKind) []*unit {
	if !s.only || s.behind == nil {
		return s.unitsOf(maps.Keys(s.units), s.wanted, kinds...)
	}
	names := map[unitName]bool{}
	for _, some := range []map[unitName]bool{s.dirty, s.unplaced, s.behind} {
		maps.Copy(names, some)
	}
	return s.unitsOf(maps.Keys(names), s.wanted, kinds...)
}

// unitsOf lists those of some units that are of some kinds and wanted, in order.
func (s *Session) unitsOf(names iter.Seq[unitName], wanted func(*unit) bool, kinds ...unitKind) []*unit {
	var out []*unit
	for name := range names {
		if u := s.units[name]; u != nil && slices.Contains(kinds, name.kind) && wanted(u) {
			out = append(out, u)
		}
	}
	slices.SortFunc(out, func(a, b *unit) int { return a.compare(b.unitName) })
	return out
}

// lookBehind finds the units that the next update has to look at again.
func (s *Session) lookBehind() {
	if s.behind != nil {
		return
	}
	s.behind = map[unitName]bool{}
	for name, u := range s.units {
		if u.isBehind() {
			s.behind[name] = true
		}
	}
}

func (u *unit) isBehind() bool { return !u.made || hasErrors(u.found) }

// note takes down what has become of a unit.
func (s *Session) note(before, now *unit) {
	s.mu.Lock()
	defer s.mu.Unlock()
	mark := func(set map[unitName]bool, is bool) {
		switch {
		case set == nil:
		case is:
			set[now.unitName] = true
		default:
			delete(set, now.unitName)
		}
	}
	mark(s.behind, now.isBehind())
	mark(s.telling, s.tells(now))
	if !slices.Equal(before.deps, now.deps) {
		s.showing, s.picturesStand = nil, false
	}
}

// tells reports whether a unit has messages that are reported.
func (s *Session) tells(u *unit) bool { return slices.ContainsFunc(u.found, s.told) }

// told reports whether a message is reported. Advice is left out with brief where nothing could allow it.
func (s *Session) told(d diagnostic.Diagnostic) bool {
	return !s.brief || d.Severity != diagnostic.Advice || s.mayBeAllowed(d)
}

// makeUnits brings those of the units up to date that need it.
func (s *Session) makeUnits(ctx context.Context, units []*unit) error {
	names := make([]string, len(units))
	for i, u := range units {
		names[i] = u.label()
	}
	errs := make([]error, len(units))
	parallel.Each(names, func(i int) {
		if errs[i] = ctx.Err(); errs[i] == nil && !s.moved.Load() {
			before := *units[i]
			errs[i] = s.bring(units[i])
			s.note(&before, units[i])
			if s.only && units[i].kind == procedureUnit {
				s.follow(&before, units[i])
			}
		}
	})
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// stagePictures stages the pictures that units show, each once.
func (s *Session) stagePictures(ctx context.Context) error {
	if s.broken.Load() || s.only && s.picturesStand {
		return nil
	}
	names := s.shownPictures()
	errs := make([]error, len(names))
	parallel.Each(names, func(i int) {
		if errs[i] = ctx.Err(); errs[i] == nil {
			errs[i] = s.stagePicture(names[i])
		}
	})
	return errors.Join(errs...)
}

// shownPictures lists the pictures that units show, in order.
func (s *Session) shownPictures() []string {
	if s.showing != nil {
		return s.showing
	}
	used := map[string]bool{}
	for _, u := range s.units {
		for _, d := range u.deps {
			if d.kind == pictureDep && u.kind != stepsUnit {
				used[d.name] = true
			}
		}
	}
	s.showing = slices.AppendSeq([]string{}, maps.Keys(used)) // not nil: none is known too
	slices.Sort(s.showing)
	return s.showing
}

func (s *Session) stagePicture(name string) error {
	made, _, err := s.pictures.prepare(name)
	if err != nil {
		return err // the unit that shows it has prepared it already
	}
	s.mu.Lock()
	before := s.written[made]
	s.written[made] = true
	s.mu.Unlock()
	if before {
		return nil
	}
	defer func() { made.content = nil }()
	return s.putFiles(made.files, func() ([]cache.File, error) {
		if made.content == nil && made.pack != nil {
			made.content, _ = made.pack.Open()
		}
		if made.content == nil {
			made.err = nil
			s.pictures.makeAnew(made, name, s.pictures.sum(name))
		}
		return made.content, made.err
	})
}

// putFiles stages files; content is asked for when the stage lacks one of them.
func (s *Session) putFiles(files []cache.File, content func() ([]cache.File, error)) error {
	var lacking []int
	for i, f := range files {
		if !s.stage.have(f) {
			lacking = append(lacking, i)
		}
	}
	if len(lacking) == 0 {
		return nil
	}
	full, err := content()
	if err != nil {
		return err
	}
	for _, i := range lacking {
		if err := s.stage.put(full[i]); err != nil {
			return ours(fmt.Errorf("writing the site: %w", err))
		}
	}
	return nil
}

// report puts the messages into the log. It returns ErrDiagnostics when there are errors.
func (s *Session) report(log *diagnostic.Log) error {
	add := func(all []diagnostic.Diagnostic) {
		for _, d := range all {
			if s.told(d) {
				log.Add(s.withText(d))
			}
		}
	}
	add(s.scanned)
	add(s.joined)
	if len(s.inputs) == 0 {
		source.Empty(log)
	}
	if s.telling == nil {
		s.telling = map[unitName]bool{}
		for name, u := range s.units {
			if s.tells(u) {
				s.telling[name] = true
			}
		}
	}
	for _, u := range s.unitsOf(maps.Keys(s.telling), s.tells, allKinds...) {
		add(u.found)
	}
	var allowing []*text.File
	for _, name := range slices.Sorted(maps.Keys(s.index.allowing)) {
		allowing = append(allowing, s.text(name))
	}
	log.Allow(allowing)
	switch {
	case log.HasErrors():
		return ErrDiagnostics
	case s.broken.Load():
		return &InternalError{errors.New("pages were left out, and no message says why")}
	}
	return nil
}

// mayBeAllowed reports whether a message lies in a file that may allow it.
func (s *Session) mayBeAllowed(d diagnostic.Diagnostic) bool {
	if d.Span.File == nil {
		return false
	}
	in := s.inputs[d.Span.File.Name]
	return in == nil || in.allows
}

// bare is a file by its name alone, for messages that are kept.
func (s *Session) bare(name string) *text.File {
	s.mu.Lock()
	defer s.mu.Unlock()
	f := s.bares[name]
	if f == nil {
		f = text.NewFile(name, nil)
		s.bares[name] = f
	}
	return f
}

// bareAll takes the bytes of the files out of messages that are kept.
func (s *Session) bareAll(all []diagnostic.Diagnostic) []diagnostic.Diagnostic {
	out := slices.Clone(all)
	for i := range out {
		d := &out[i]
		d.Span = s.bareSpan(d.Span)
		d.See = slices.Clone(d.See)
		for j := range d.See {
			d.See[j].Span = s.bareSpan(d.See[j].Span)
		}
	}
	return out
}

func (s *Session) bareSpan(span text.Span) text.Span {
	if span.File != nil {
		span.File = s.bare(span.File.Name)
	}
	return span
}

// withText gives a message its files' bytes back. Advice stays without where
// nothing is allowed: it is counted and not shown.
func (s *Session) withText(d diagnostic.Diagnostic) diagnostic.Diagnostic {
	if d.Severity == diagnostic.Advice && !s.mayBeAllowed(d) {
		return d
	}
	fill := func(span text.Span) text.Span {
		if span.File != nil {
			span.File = s.text(span.File.Name)
		}
		return span
	}
	d.Span = fill(d.Span)
	d.See = slices.Clone(d.See)
	for i := range d.See {
		d.See[i].Span = fill(d.See[i].Span)
	}
	return d
}

// text returns a file with its bytes, read once in an update.
func (s *Session) text(name string) *text.File {
	s.mu.Lock()
	defer s.mu.Unlock()
	f := s.texts[name]
	if f == nil {
		content, _ := source.Load(s.files, name) // what cannot be read has a message of its own
		f = text.NewFile(name, content)
		s.texts[name] = f
	}
	return f
}

// lib is a library with the settings and nothing else.
func (s *Session) lib() *procedure.Library {
	lib := *s.settings.Library
	return &lib
}

func hasErrors(all []diagnostic.Diagnostic) bool {
	return slices.ContainsFunc(all, func(d diagnostic.Diagnostic) bool { return d.Severity == diagnostic.Error })
}
