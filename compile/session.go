package compile

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"sync"
	"sync/atomic"

	"matchmark/compile/cache"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
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
	// brief has advice counted and left out of the log; see Options.LeaveOutAdvice.
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
		if err := s.read(func() {}); err != nil {
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

// read learns what the library holds now. It calls listed when it knows the files
// and has not read them.
func (s *Session) read(listed func()) error {
	var log diagnostic.Log
	s.progress(Progress{Stage: "read"})
	err := s.scan(&log, listed)
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

// lib is a library with the settings and nothing else.
func (s *Session) lib() *procedure.Library {
	lib := *s.settings.Library
	return &lib
}
