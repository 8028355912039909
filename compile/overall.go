package compile

import (
	"fmt"
	"slices"
	"strings"

	"matchmark/compile/cache"
	"matchmark/compile/output"
	"matchmark/compile/site"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/text"
)

// overall is what a session keeps of the pages on the whole while it updates a site,
// so that an edit costs those pieces of them that it changes.
type overall struct {
	pages    *site.Whole
	settings cache.Sum
	// others are the machines and courses. What the pages show of them is not kept: when one changes, all is made anew.
	others   map[string]cache.Sum
	machines map[string]*procedure.Machine // as procedures see them
	shown    map[string]shownCard
	files    []cache.File // by path, without content
}

// shownCard is what the pages show of a procedure's unit.
type shownCard struct {
	entry   []byte
	sum     cache.Sum
	machine *procedure.Machine
}

// makeOverall makes the pages on the whole: those pieces that have changed since they were
// made last, or all. It returns the unit's files, without content where they stand as they were.
func (s *Session) makeOverall(u *unit) ([]cache.File, error) {
	u.deps, u.found, u.made, u.files = nil, nil, false, nil
	if s.broken.Load() {
		return nil, nil
	}
	out := collector{unsummed: s.unsummed, wrote: func(path string) { s.wrote(path) }}
	all, gone, err := s.updateOverall(&out)
	if err != nil || s.moved.Load() {
		s.overall = nil
		if err != nil {
			err = ours(fmt.Errorf("writing the site: %w", err))
		}
		return nil, err
	}
	slices.SortFunc(out.files, func(a, b cache.File) int { return strings.Compare(a.Path, b.Path) })
	u.made = true
	defer func() {
		if !s.updates {
			s.overall = nil
		}
	}()
	if all {
		u.files = withoutContent(out.files)
		s.overall.files = u.files
		s.cache.Put(u.key, u.head(), out.files)
		return out.files, nil
	}
	files := s.overall.replaced(out.files, gone)
	for _, f := range files {
		if f.Content == nil && !s.stage.have(f) { // it was made for an update that came to nothing
			s.overall = nil
			return s.makeOverall(u)
		}
	}
	u.files = withoutContent(files)
	s.overall.files = u.files
	return files, nil
}

// readyOverall has what is kept of the pages on the whole made behind an update that
// took them from the cache or the folder, so that the first edit of a title need not wait for it.
func (s *Session) readyOverall() {
	u := s.units[unitName{overallUnit, ""}]
	if s.site == nil || s.overall != nil || u == nil || !u.made {
		return
	}
	s.readying.Go(func() {
		done := false
		defer func() {
			if !done {
				_ = recover() // the update that needs it meets the fault again, and reports it
				s.overall = nil
			}
		}()
		_, _, err := s.updateOverall(nil)
		if done = err == nil && !s.moved.Load(); done {
			s.overall.files = slices.SortedFunc(slices.Values(u.files), func(a, b cache.File) int { return strings.Compare(a.Path, b.Path) })
		}
	})
}

// replaced are the files with those that were written in the place of what was there.
func (o *overall) replaced(written []cache.File, gone []string) []cache.File {
	byPath := func(f cache.File, path string) int { return strings.Compare(f.Path, path) }
	files := slices.Clone(o.files)
	for _, path := range gone {
		if i, there := slices.BinarySearchFunc(files, path, byPath); there {
			files = slices.Delete(files, i, i+1)
		}
	}
	for _, f := range written {
		i, there := slices.BinarySearchFunc(files, f.Path, byPath)
		if !there {
			files = slices.Insert(files, i, cache.File{})
		}
		files[i] = f
	}
	return files
}

// updateOverall writes the pieces that have changed; all is true when these are all there are.
// Without a sink it only takes down what they hold.
func (s *Session) updateOverall(out output.Sink) (all bool, gone []string, err error) {
	var changes []site.Change
	if s.overall == nil || !s.overall.fits(s) {
		if s.overall, err = s.newOverall(); err != nil {
			return false, nil, err
		}
		for name := range s.overall.others {
			changes = append(changes, site.Change{Owner: name, Now: func() *procedure.Library { return s.partOf(name) }})
		}
		s.recarded = nil
	}
	o := s.overall
	if s.recarded == nil { // any procedure may have changed
		s.recarded = map[string]bool{}
		for name := range o.shown {
			s.recarded[name] = true
		}
		for _, name := range s.index.names {
			s.recarded[name] = true
		}
	}
	for name := range s.recarded {
		before, was := o.shown[name]
		now, is := s.shownCard(name)
		c := site.Change{Owner: name}
		if was {
			c.Was = func() *procedure.Library { return s.libraryOf(before) }
		}
		if is {
			c.Now = func() *procedure.Library { return s.libraryOf(now) }
		}
		switch {
		case is && was && before.sum == now.sum && before.machine == now.machine, !is && !was:
			continue
		case is:
			o.shown[name] = now
		default:
			delete(o.shown, name)
		}
		changes = append(changes, c)
	}
	s.recarded = map[string]bool{}
	slices.SortFunc(changes, func(a, b site.Change) int { return strings.Compare(a.Owner, b.Owner) })
	return o.pages.Update(changes, s.partOf, out)
}

// newOverall begins with pages that show nothing yet.
func (s *Session) newOverall() (*overall, error) {
	pages, err := site.NewWhole(s.lib(), s.theme)
	if err != nil {
		return nil, err
	}
	o := &overall{
		pages: pages, settings: s.settingsSum,
		others: map[string]cache.Sum{}, machines: map[string]*procedure.Machine{}, shown: map[string]shownCard{},
	}
	for _, name := range s.index.courses {
		o.others[name] = s.inputs[name].sum
	}
	for _, name := range s.index.machineFiles {
		o.others[name] = s.inputs[name].sum
		_, part := s.sharedPart(name)
		if m := part.Machine(); m != nil {
			o.machines[name] = &procedure.Machine{ID: m.ID, Title: m.Title, Summary: m.Summary, Variants: m.Variants}
		}
	}
	return o, nil
}

// fits reports whether the settings, the machines and the courses are those that the pages were made with.
func (o *overall) fits(s *Session) bool {
	if o.settings != s.settingsSum || len(o.others) != len(s.index.machineFiles)+len(s.index.courses) {
		return false
	}
	for _, names := range [][]string{s.index.machineFiles, s.index.courses} {
		for _, name := range names {
			if sum, there := o.others[name]; !there || sum != s.inputs[name].sum {
				return false
			}
		}
	}
	return true
}

// shownCard is what the pages are to show of a procedure's file.
func (s *Session) shownCard(name string) (shownCard, bool) {
	u := s.units[unitName{procedureUnit, name}]
	if u == nil || u.entry == nil {
		return shownCard{}, false
	}
	return shownCard{u.entry, u.entrySum, s.overall.machines[s.index.machines[s.inputs[name].heading.Of]]}, true
}

// partOf is what a file brings to the pages on the whole.
func (s *Session) partOf(name string) *procedure.Library {
	if x, there := s.overall.shown[name]; there {
		return s.libraryOf(x)
	}
	lib := s.lib()
	if s.inputs[name].heading.Kind == "course" {
		lib.Courses = append(lib.Courses, s.part(name, &diagnostic.Log{}).Course())
	} else {
		_, part := s.sharedPart(name)
		lib.Machines = append(lib.Machines, part.Machine())
	}
	return lib
}

// libraryOf is a library of a procedure, its refitting and its quizzes.
func (s *Session) libraryOf(x shownCard) *procedure.Library {
	lib := s.lib()
	c, err := readEntry(x.entry)
	if err != nil {
		return lib // it was written by entry
	}
	p := c.procedure(x.machine)
	lib.Procedures = append(lib.Procedures, p)
	if p.Back != nil {
		lib.Procedures = append(lib.Procedures, p.Back)
	}
	for _, q := range c.quizzes {
		quiz := q.quiz(p)
		quiz.File = text.NewFile(q.file, nil)
		lib.Quizzes = append(lib.Quizzes, quiz)
	}
	return lib
}
