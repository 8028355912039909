package compile

import (
	"slices"

	"matchmark/compile/cache"
	"matchmark/compile/library"
	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/check"
	"matchmark/procedure/check/order"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/source"
)

// checked is what is known of a unit without its pages.
type checked struct {
	found []diagnostic.Diagnostic
	uses  []byte   // of a procedure: see usesOf; nil when it could not be read
	takes []string // of a procedure: the steps files that it takes in, by id
}

func (c *checked) failed() bool { return hasErrors(c.found) }

// makeCheck reads and checks a unit.
func makeCheck(x *reading, name string) *result {
	if made := x.fetchCheck(name); made != nil {
		return made
	}
	c, log := &checked{}, &diagnostic.Log{}
	diagnostic.GuardWork(say.That("making this part of the site"), x.withoutText(name).Span(0, 0), log.Add, func() { x.check(name, c, log) })
	c.found = x.withoutTexts(log.Sorted())
	return c.result()
}

func (c *checked) result() *result {
	return &result{value: c, sums: [aspects]cache.Sum{part: cache.SumOf(c.uses)}}
}

func (x *reading) check(name string, c *checked, log *diagnostic.Log) {
	if name == fixedName {
		x.checkLanguage(log)
		return
	}
	switch r := x.related(name); r.unit {
	case procedureUnit:
		x.checkProcedure(name, c, log)
	case machineUnit:
		x.checkMachine(name, r, log)
	case stepsUnit:
		x.checkSteps(name, r, log)
	case courseUnit:
		x.checkCourse(name, r, log)
	case glossaryUnit:
		x.checkGlossary(name, log)
	case strayUnit:
		x.checkStray(name, r, log)
	}
}

func (x *reading) checkLanguage(log *diagnostic.Log) {
	if err := library.CheckLanguage(x.libraryOf(part).Library, log); err != nil {
		panic(err) // the theme is a part of the program
	}
}

func (x *reading) checkProcedure(name string, c *checked, log *diagnostic.Log) {
	g, m := x.procedure(name, log)
	c.takes = g.steps
	if m == nil {
		return
	}
	own := x.library().Library
	own.Procedures, own.Quizzes = m.lib.Procedures, m.lib.Quizzes
	check.PartOn(own, []*analysis.Procedure{m.facts}, log)
	library.CheckFigures(m.own, x.look, log)
	// A mistyped name must not show as a part that hangs on nothing.
	order.RunOnDespite(m.facts, m.add, m.words, m.errorsWith(log), log)
	c.uses = usesOf(m.Procedure, m.lib.Quizzes, m.lib.Glossary)
	x.handOn(name, m)
	if r := x.related(name); !x.making.Load() && r.people+r.back > 0 { // a course has it
		x.handed.Store(key{checkKind, name}, m.lib)
	}
}

// handOn leaves what a check has read for the maker of the pages, where pages are wanted.
func (x *reading) handOn(name string, model any) {
	if x.making.Load() {
		x.handed.Store(key{pagesKind, name}, model)
	}
}

func (x *reading) checkMachine(name string, r *related, log *diagnostic.Log) {
	model := x.shared(name)
	addAll(log, &model.log)
	m := model.part.Machine()
	if m == nil {
		return
	}
	var used [][]string
	shown := map[figureName]bool{}
	for _, p := range r.procedures {
		if u := x.usesOf(p); u != nil { // else what hides the procedure was reported there
			used = append(used, u.used)
			u.markShown(shown)
		}
	}
	check.UnusedRows(m, used, log)
	own, _ := figuresOf(m)
	neverShown(own, shown, log)
}

func (x *reading) checkGlossary(name string, log *diagnostic.Log) {
	model := x.shared(name)
	addAll(log, &model.log)
	g := model.part.Glossary()
	if g == nil || name != x.members(glossaryFiles)[0] { // a second one was reported
		return
	}
	var used [][]string
	for _, group := range x.members(allGroups) {
		used = append(used, x.get(group, checkGroupKind, part).value.(*checkGroup).terms)
	}
	check.UnusedTerms(g, used, log)
}

func (x *reading) usesOf(procedure string) *used {
	c := x.get(procedure, checkKind, part).value.(*checked)
	if c.uses == nil {
		return nil
	}
	return readUses(c.uses)
}

func (x *reading) checkSteps(name string, r *related, log *diagnostic.Log) {
	var takers []string
	for _, group := range x.members(allGroups) {
		takers = append(takers, x.get(group, checkGroupKind, part).value.(*checkGroup).takers[r.id]...)
	}
	model := x.shared(name)
	addAll(log, &model.log)
	if len(takers) == 0 {
		source.UnusedSteps(x.get(name, headingKind, whole).value.(*input).heading, log)
		return
	}
	shown := map[figureName]bool{}
	for _, p := range takers {
		if u := x.usesOf(p); u != nil {
			u.markShown(shown)
		}
	}
	if r.first {
		neverShown(model.part.Figures(), shown, log)
	}
}

func (x *reading) checkStray(name string, r *related, log *diagnostic.Log) {
	lib := x.library()
	part := x.part(name, log)
	if file := part.Registers(); file != nil && !r.linked {
		log.Add(source.UnusedRegisters(file))
	}
	lib.Add(part)
	model := x.resolve(lib, log)
	model.Machines = nil
	check.Part(model, log)
}

func (x *reading) checkCourse(name string, r *related, log *diagnostic.Log) {
	var all diagnostic.Log
	lib := x.courseAlone(name, r, &all)
	if lib == nil {
		lib = x.course(name, r, &all)
	}
	own := x.library().Library
	own.Courses = lib.Courses
	check.Part(own, &all)
	for _, d := range all.Sorted() { // what lies in other files, other units report
		if d.Span.File != nil && d.Span.File.Name == name {
			log.Add(d)
		}
	}
	x.handOn(name, lib)
}

// courseAlone joins a course with procedures as their checks have read them, where these are
// at hand and no pages are wanted, which need more of them; else it returns nil.
func (x *reading) courseAlone(name string, r *related, log *diagnostic.Log) *procedure.Library {
	if x.making.Load() {
		return nil
	}
	lib := x.library().Library
	for _, p := range r.procedures {
		model, there := x.handed.Load(key{checkKind, p})
		if !there {
			return nil
		}
		of := model.(*procedure.Library)
		x.get(p, checkKind, whole)
		lib.Procedures, lib.Quizzes = append(lib.Procedures, of.Procedures...), append(lib.Quizzes, of.Quizzes...)
	}
	for _, quiz := range r.quizzes {
		if !slices.ContainsFunc(lib.Quizzes, func(q *procedure.Quiz) bool { return q.File.Name == quiz }) {
			return nil
		}
	}
	ids := x.snapshot.get(key{kind: idsKind})
	x.part(name, log).ResolveCourse(lib, ids.value.(source.IDs), log)
	if log.HasErrors() {
		x.note(ids, whole)
	}
	return lib
}

// course reads a course with its procedures and quizzes, and with what belongs to the
// procedures: their refittings are part of its continuous job.
func (x *reading) course(name string, r *related, log *diagnostic.Log) *procedure.Library {
	g := x.gather(r.procedures, true, log)
	for _, quiz := range r.quizzes {
		x.gatherOwn(g, quiz, log) // unless it came with its procedure
	}
	g.lib.Add(x.part(name, log))
	return x.resolve(g.lib, log)
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

// figureName names a figure in a library: its file and its name there.
type figureName struct{ file, id string }

// used is what a procedure uses of others: names of its machine, figures, and terms of the glossary.
type used struct {
	used  []string
	shown []figureName
	terms []string
}

func (u *used) markShown(shown map[figureName]bool) {
	for _, f := range u.shown {
		shown[f] = true
	}
}

// usesOf takes down, as fields, what a procedure uses of others.
func usesOf(p *procedure.Procedure, quizzes []*procedure.Quiz, g *procedure.Glossary) []byte {
	var f cache.Fields
	names, figures := check.UsedBy(p), check.ShownBy(p, quizzes)
	f.Int(len(names))
	for _, name := range names {
		f.String(name)
	}
	f.Int(len(figures))
	for _, s := range figures {
		f.String(s.Span.File.Name)
		f.String(s.ID)
	}
	writeStrings(&f, check.TermsOf(p, g))
	return f.B
}

func readUses(b []byte) *used {
	u, r := &used{}, cache.Read(b)
	for range r.Count() {
		u.used = append(u.used, r.String())
	}
	for range r.Count() {
		u.shown = append(u.shown, figureName{r.String(), r.String()})
	}
	u.terms = readStrings(r)
	return u
}

// checkGroup is what is known of some procedures without their pages.
type checkGroup struct {
	messages
	takers map[string][]string // the procedures that take in each steps file, by its id
	terms  []string            // of the glossary that they use
}

func makeCheckGroup(x *reading, name string) *result {
	g := &checkGroup{takers: map[string][]string{}}
	var takes []string
	for _, p := range x.members(name) {
		c := x.get(p, checkKind, whole).value.(*checked)
		g.add(c.found)
		if c.uses != nil {
			g.terms = append(g.terms, readUses(c.uses).terms...)
		}
		for _, id := range c.takes {
			if !slices.Contains(g.takers[id], p) {
				g.takers[id] = append(g.takers[id], p)
				takes = append(takes, id, p)
			}
		}
	}
	slices.Sort(g.terms)
	g.terms = slices.Compact(g.terms)
	return &result{value: g, sums: [aspects]cache.Sum{part: sumOf(takes, g.terms)}}
}
