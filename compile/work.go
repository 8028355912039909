package compile

import (
	"errors"
	"slices"

	"matchmark/compile/library"
	"matchmark/compile/output"
	"matchmark/compile/picture"
	"matchmark/compile/planning"
	"matchmark/compile/quizpage"
	"matchmark/compile/reference"
	"matchmark/compile/sheet"
	"matchmark/compile/site"
	"matchmark/procedure"
	"matchmark/procedure/check"
	"matchmark/procedure/check/order"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/facts"
	"matchmark/procedure/refit"
	"matchmark/procedure/source"
	"matchmark/procedure/state"
)

// work makes a unit: it reads, checks and writes the pages. made is false when
// the pages were left out because the library has errors.
func (s *Session) work(u *unit, out output.Sink, log *diagnostic.Log) (made bool, err error) {
	switch u.kind {
	case procedureUnit:
		return s.workProcedure(u, out, log)
	case machineUnit:
		return s.workMachine(u, out, log)
	case stepsUnit:
		return s.workSteps(u, log)
	case courseUnit:
		return s.workCourse(u, out, log)
	case strayUnit:
		return s.workStray(u, log)
	}
	lib := s.lib()
	if err := library.CheckLanguage(lib, log); err != nil {
		return false, err
	}
	if s.stops(log) {
		return false, nil
	}
	return true, errors.Join(site.EmitAssets(lib, s.theme, out), reference.Emit(lib, s.theme, out))
}

// stops says that no pages are to be made, because of errors in a log or elsewhere.
func (s *Session) stops(log *diagnostic.Log) bool { return s.broken.Load() || log.HasErrors() }

func (s *Session) workProcedure(u *unit, out output.Sink, log *diagnostic.Log) (made bool, err error) {
	g := s.gather([]string{u.file}, log)
	lib := g.lib.ResolvePart(s.index.ids, log)
	u.deps = g.deps
	if len(lib.Procedures) == 0 {
		return false, nil // what hides it was reported
	}
	p := lib.Procedures[0]
	part := s.lib()
	part.Procedures, part.Quizzes = lib.Procedures, lib.Quizzes
	f, add, words := facts.Of(p), refit.AdditionsOf(p), s.refitWords(lib)
	check.PartOn(part, []*facts.Procedure{f}, log)
	library.CheckFigures(g.own, s.pictures.look, log)
	// The order of work is judged once every name leads somewhere: a mistyped
	// name would otherwise show as a part that hangs on nothing.
	if !g.failed && !log.HasErrors() {
		order.RunOn(f, func(i int) *state.Trace { return f.Way(i, add, words) }, add, log)
	}
	pictures, err := s.pictured(u, g.own, g.other, log)
	if err != nil {
		return false, err
	}
	card := cardOf(p, lib.Quizzes)
	u.setCard(card.entry(), card.uses())
	if g.failed || s.stops(log) {
		return false, nil
	}
	lib = withWayBack(lib, p, f.Derive(add, words))
	if err := Questions(lib, s.theme, f); err != nil {
		return false, err
	}
	card = cardOf(p, lib.Quizzes)
	u.setCard(card.entry(), card.uses())
	pages := []*facts.Procedure{f}
	if back := f.Back(); back != nil {
		pages = append(pages, back)
	}
	for _, x := range pages {
		people := s.index.people[p.ID]
		if x.Procedure == p.Back {
			people = s.index.back[p.ID]
		}
		err = errors.Join(
			site.EmitProcedure(lib, pictures, s.theme, out, x),
			sheet.EmitProcedure(lib, pictures, s.theme, out, x),
			planning.EmitProcedure(lib, s.theme, out, x, planning.People(people, procedure.Pace{})),
		)
		if err != nil {
			return false, err
		}
	}
	for _, q := range lib.Quizzes {
		if err := quizpage.EmitQuiz(lib, pictures, s.theme, out, q); err != nil {
			return false, err
		}
	}
	return true, nil
}

// refitWords are the fixed words of a derived way back. In a language that the theme
// does not have, which is reported elsewhere, nobody gets to see them.
func (s *Session) refitWords(lib *procedure.Library) refit.Words {
	words, err := s.theme.Words(lib.Language)
	if err != nil {
		return func(key string, _ ...any) string { return key }
	}
	return words.T
}

// pictured prepares the pictures of figures and notes them as what the unit is
// made from. Faults are reported where a figure is the unit's own.
func (s *Session) pictured(u *unit, own, other []*procedure.Figure, log *diagnostic.Log) (map[string]*picture.Picture, error) {
	out := map[string]*picture.Picture{}
	for i, f := range slices.Concat(own, other) {
		if f.Source == "" {
			continue // reported by the reader
		}
		if d := (dep{pictureDep, f.Source, s.pictures.sum(f.Source)}); !slices.Contains(u.deps, d) {
			u.deps = append(u.deps, d)
		}
		if _, err := s.pictures.look(f.Source); err != nil {
			continue // reported where it was looked at
		}
		_, made, err := s.pictures.prepare(f.Source)
		fault := picture.IsFault(err)
		switch {
		case errors.Is(err, errMoved):
			s.moved.Store(true)
		case fault != nil && i < len(own):
			library.ReportPicture(f, fault, log)
		case fault != nil:
			s.broken.Store(true)
		case err != nil:
			return nil, err
		}
		out[f.Source] = &made
	}
	return out, nil
}

func (s *Session) workMachine(u *unit, out output.Sink, log *diagnostic.Log) (made bool, err error) {
	x, part := s.sharedPart(u.file)
	x.look()
	addAll(log, &x.log)
	m := part.Machine()
	if m == nil {
		return false, nil
	}
	lib := s.lib()
	lib.Machines = []*procedure.Machine{m}
	shown := map[figureName]bool{}
	var used [][]string
	for _, on := range s.proceduresOn(u.file) {
		c := on.card()
		if c == nil {
			s.broken.Store(true) // what hides the procedure was reported there
			continue
		}
		used = append(used, c.used)
		for _, f := range c.shown {
			shown[f] = true
		}
		p := c.procedure(m)
		lib.Procedures = append(lib.Procedures, p)
	}
	check.UnusedRows(m, used, log)
	neverShown(m.Figures, shown, log)
	pictures, err := s.pictured(u, m.Figures, nil, log)
	if err != nil || s.stops(log) {
		return false, err
	}
	return true, site.EmitMachine(lib, pictures, s.theme, out, m)
}

func (s *Session) workSteps(u *unit, log *diagnostic.Log) (made bool, err error) {
	x, part := s.sharedPart(u.file)
	takers := s.takersOf(u.file)
	if len(takers) == 0 {
		addAll(log, &x.log)
		source.UnusedSteps(s.inputs[u.file].heading, log)
		return true, nil
	}
	x.look()
	addAll(log, &x.log)
	shown := map[figureName]bool{}
	for _, taker := range takers {
		if c := taker.card(); c != nil {
			for _, f := range c.shown {
				shown[f] = true
			}
		}
	}
	if s.index.steps[s.inputs[u.file].heading.ID] == u.file {
		neverShown(part.Figures(), shown, log)
	}
	_, err = s.pictured(u, part.Figures(), nil, log)
	return err == nil, err
}

func (s *Session) workStray(u *unit, log *diagnostic.Log) (made bool, err error) {
	lib := s.settingsOf()
	lib.Add(s.part(u.file, log))
	model := lib.ResolvePart(s.index.ids, log)
	model.Machines = nil
	check.Part(model, log)
	return true, nil
}

func (s *Session) workCourse(u *unit, out output.Sink, log *diagnostic.Log) (made bool, err error) {
	var files []string
	for _, p := range s.proceduresOf(u.file) {
		files = append(files, p.file)
	}
	var all diagnostic.Log
	g := s.gather(files, &all)
	for _, quiz := range s.quizzesOf(u.file) {
		s.gatherOwn(g, quiz, &all) // unless it came with its procedure
	}
	g.lib.Add(s.part(u.file, &all))
	lib := g.lib.ResolvePart(s.index.ids, &all)
	part := s.lib()
	part.Courses = lib.Courses
	check.Part(part, &all)
	for _, d := range all.Sorted() { // what lies in other files, other units report
		if d.Span.File != nil && d.Span.File.Name == u.file {
			log.Add(d)
		}
	}
	if s.stops(log) || len(lib.Courses) == 0 {
		return false, nil
	}
	if lib, err = withWaysBack(lib, s.theme); err != nil {
		return false, err
	}
	if err := Questions(lib, s.theme); err != nil {
		return false, err
	}
	c := lib.Courses[0]
	return true, errors.Join(site.EmitCourse(lib, s.theme, out, c), planning.EmitCourse(lib, s.theme, out, c))
}

// neverShown reports the figures that no procedure shows.
func neverShown(figures []*procedure.Figure, shown map[figureName]bool, log *diagnostic.Log) {
	for _, f := range figures {
		if !shown[figureName{f.Span.File.Name, f.ID}] {
			check.NeverShown(f, log)
		}
	}
}

func addAll(log, from *diagnostic.Log) {
	for _, d := range from.Sorted() {
		log.Add(d)
	}
}
