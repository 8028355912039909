package compile

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"matchmark/compile/cache"
	"matchmark/procedure/diagnostic"
)

// unitKind says what a unit is made from.
type unitKind int

const (
	procedureUnit unitKind = iota // a procedure with its refitting and quizzes
	machineUnit
	stepsUnit // a shared steps file: it has messages and no pages
	courseUnit
	strayUnit   // a file that belongs to nothing: it has messages and no pages
	overallUnit // the start page and the search index
	fixedUnit   // the reference and the theme's assets
)

var allKinds = []unitKind{procedureUnit, machineUnit, stepsUnit, courseUnit, strayUnit, overallUnit, fixedUnit}

// unitName names a unit by its main file, empty for those on the whole.
type unitName struct {
	kind unitKind
	file string
}

func (n unitName) compare(m unitName) int {
	return cmp.Or(cmp.Compare(n.kind, m.kind), strings.Compare(n.file, m.file))
}

// label is what a fault of our own calls the unit.
func (n unitName) label() string {
	switch {
	case n.kind == overallUnit:
		return "the start page"
	case n.kind == fixedUnit:
		return "the reference"
	}
	return n.file
}

// unit is a piece of the site that is made by itself.
type unit struct {
	unitName
	// key is the sum of what is known to go into the unit before it is read, and
	// deps is what turned out to go into it besides.
	key  cache.Sum
	deps []dep
	// made is true when the unit has its files, or needs none.
	made  bool
	found []diagnostic.Diagnostic
	files []cache.File // without content

	// Of a procedure: its card as fields, and their sums.
	entry, uses       []byte
	entrySum, usesSum cache.Sum
}

// depKind is what kind of thing a unit was made from.
type depKind int

const (
	stepsDep   depKind = iota // a shared steps file, by id
	pictureDep                // a picture, by path
)

// dep is one thing that a unit turned out to be made from, as it was.
type dep struct {
	kind depKind
	name string
	sum  cache.Sum
}

// sumOf is what a dep's thing is now; zero when it is not there.
func (s *Session) sumOf(kind depKind, name string) cache.Sum {
	if kind == pictureDep {
		return s.pictures.sum(name)
	}
	in := s.inputs[s.index.steps[name]]
	if in == nil {
		return cache.Sum{}
	}
	var f cache.Fields // messages and cards name the file
	f.String(in.name)
	f.Sum(in.sum)
	return cache.SumOf(f.B)
}

func (s *Session) hold(deps []dep) bool {
	return !slices.ContainsFunc(deps, func(d dep) bool { return s.sumOf(d.kind, d.name) != d.sum })
}

// whole is the sum of all that a unit is made from.
func (u *unit) whole() cache.Sum {
	var f cache.Fields
	f.Sum(u.key)
	writeDeps(&f, u.deps)
	return cache.SumOf(f.B)
}

// bring brings a unit up to date and stages its files: as it was, from the cache, or made anew.
func (s *Session) bring(u *unit) error {
	key := s.keyOf(u.unitName)
	if !(u.made && u.key == key && s.hold(u.deps)) {
		u.key = key
		s.mu.Lock()
		s.unplaced[u.unitName] = true
		s.mu.Unlock()
		if u.kind == overallUnit && s.overall != nil && s.overall.fits(s) {
			// a few pieces are made sooner than all of them are taken from the cache
		} else if pack := s.fetch(u); pack != nil {
			return s.stageUnit(u, nil, pack)
		}
		content, err := s.make(u)
		if err != nil {
			return err
		}
		return s.stageUnit(u, content, nil)
	}
	return s.stageUnit(u, nil, nil)
}

// fetch takes a unit from the cache; nil when it is not there, or was made from something else.
func (s *Session) fetch(u *unit) *cache.Pack {
	pack := s.cache.Get(u.key)
	if pack == nil {
		return nil
	}
	kept, err := readHead(pack.Head, s.bare)
	if err != nil || !s.hold(kept.deps) {
		return nil
	}
	u.deps, u.found, u.made = kept.deps, kept.found, true
	u.setCard(kept.entry, kept.uses)
	u.files = pack.Files
	s.count(u.files)
	return pack
}

// make makes a unit anew and keeps it in the cache. It returns its files, none
// when there are errors.
func (s *Session) make(u *unit) ([]cache.File, error) {
	s.mu.Lock()
	s.recompiled = append(s.recompiled, u.label())
	s.mu.Unlock()
	if u.kind == overallUnit {
		return s.makeOverall(u)
	}
	out := collector{unsummed: s.unsummed, wrote: func(path string) { s.wrote(path) }}
	var log diagnostic.Log
	u.deps, u.made, u.files = nil, false, nil
	made, err := s.work(u, &out, &log)
	u.found = s.bareAll(log.Sorted())
	switch {
	case hasErrors(u.found):
		s.broken.Store(true)
		return nil, nil
	case err != nil:
		return nil, ours(fmt.Errorf("writing the site: %w", err))
	case !made:
		return nil, nil
	}
	u.made, u.files = true, withoutContent(out.files)
	s.cache.Put(u.key, u.head(), out.files)
	return out.files, nil
}

// stageUnit stages a unit's files; content may be nil.
func (s *Session) stageUnit(u *unit, content []cache.File, pack *cache.Pack) error {
	if !u.made || s.broken.Load() {
		return nil
	}
	return s.putFiles(u.files, func() ([]cache.File, error) {
		if content != nil {
			return content, nil
		}
		if pack == nil {
			pack = s.cache.Get(u.key)
		}
		if pack != nil {
			if files, err := pack.Open(); err == nil && slices.EqualFunc(files, u.files, sameFile) {
				return files, nil
			}
		}
		files, err := s.make(u)
		if err == nil && len(files) == 0 {
			err = errMoved
			s.moved.Store(true)
		}
		return files, err
	})
}

func sameFile(a, b cache.File) bool { return a.Path == b.Path && a.Sum == b.Sum }

func (s *Session) wrote(path string) {
	if strings.HasSuffix(path, ".html") {
		s.progress(Progress{Stage: "pages", Done: int(s.pages.Add(1))})
	}
}

func (s *Session) count(files []cache.File) {
	for _, f := range files {
		s.wrote(f.Path)
	}
}

func (u *unit) setCard(entry, uses []byte) {
	u.entry, u.uses = entry, uses
	u.entrySum, u.usesSum = cache.SumOf(entry), cache.SumOf(uses)
}

// card is the card of a procedure's unit; nil when it has none.
func (u *unit) card() *card {
	if u.entry == nil {
		return nil
	}
	c, err := readCard(u.entry, u.uses)
	if err != nil {
		return nil
	}
	return c
}
