package source

import (
	"maps"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/fitting"
	"matchmark/procedure/refit"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// Resolve joins the files: machines and included steps to procedures, procedures
// to quizzes, both to courses. It reports names that are taken twice or lead nowhere.
func (l *Library) Resolve(log *diagnostic.Log) *procedure.Library {
	x := resolver{log: log, ids: l.ids}
	machines := index(&x, "machine", l.Machines, func(m *procedure.Machine) (string, text.Span) { return m.ID, m.Span })
	procedures := index(&x, "procedure", l.Procedures, func(p *procedure.Procedure) (string, text.Span) { return p.ID, p.Span })
	quizzes := index(&x, "quiz", l.Quizzes, func(q *procedure.Quiz) (string, text.Span) { return q.ID, q.Span })
	index(&x, "course", l.Courses, func(c *procedure.Course) (string, text.Span) { return c.ID, c.Span })
	x.shared = index(&x, "steps file", l.shared, func(s *stepsFile) (string, text.Span) { return s.id, s.idSpan })

	var glossaries []text.Span
	for _, g := range l.glossaries {
		glossaries = append(glossaries, g.Span)
	}
	x.oneGlossary(glossaries)
	if len(l.glossaries) > 0 {
		l.Glossary = l.glossaries[0]
	}

	for _, m := range l.Machines {
		if m.LikeRef.ID != "" && m.Like == nil && l.ids == nil {
			x.takeOver(m, machines[m.LikeRef.ID], sortedKeys(machines))
		}
	}
	if l.ids == nil {
		l.unusedRegisters(log)
	}
	used := map[string]bool{}
	for i, p := range l.Procedures {
		p.Machine = find(&x, "machine", p.MachineRef, machines)
		x.machine, x.taken = p.Machine, nil
		p.Steps, p.Figures = x.include(l.own[i], nil, used)
		for n, s := range p.Steps {
			s.Number = n + 1
		}
		if len(p.Steps) == 0 && !l.own[i].blocks {
			x.log.Add(newDiagnostic("empty-procedure", p.Span, say.That("this procedure has no steps"), say.That("Write a step: ## Title {#name}.")))
		}
	}
	waysBack := map[string]*procedure.RefitFile{}
	for _, w := range l.waysBack {
		p := find(&x, "procedure", w.ProcedureRef, procedures)
		if p == nil {
			continue
		}
		if first, taken := waysBack[p.ID]; taken {
			d := newDiagnostic("duplicate-name", w.ProcedureRef.Span, say.That("the refitting of %part is added to twice", say.Quote(p.ID)), say.That("Put all steps into one file."))
			d.See = []diagnostic.Related{{Span: first.ProcedureRef.Span, Says: say.That("the first file")}}
			x.log.Add(d)
			continue
		}
		waysBack[p.ID], p.RefitFile = w, w
		p.Figures = append(p.Figures, w.Figures...)
	}
	for _, p := range l.Procedures {
		for _, s := range p.WrittenSteps() {
			x.findFigure(s, p)
			s.Tools, _ = fitting.Tools(p.Machine, s)
		}
		nameMentions(p)
		p.Weigh()
		x.refittingName(p.ID, p.Span, func(id string) (text.Span, bool) {
			if removal := procedures[id]; removal != nil {
				return removal.Span, true
			}
			return text.Span{}, false
		})
	}
	for _, s := range l.shared {
		if !used[s.id] {
			x.log.Add(newDiagnostic("unused-file", s.idSpan, say.That("no procedure takes in these steps"), say.That("Include them, or take the file out.")))
		}
	}
	for _, q := range l.Quizzes {
		q.Procedure = find(&x, "procedure", q.ProcedureRef, procedures)
		nameQuizMentions(q)
	}
	for _, c := range l.Courses {
		x.course(c, procedures, quizzes)
	}
	return l.Library
}

func (x *resolver) course(c *procedure.Course, procedures map[string]*procedure.Procedure, quizzes map[string]*procedure.Quiz) {
	for i := range c.Sessions {
		for j := range c.Sessions[i].Items {
			item := &c.Sessions[i].Items[j]
			if item.IsQuiz {
				item.Quiz = find(x, "quiz", item.Ref, quizzes)
			} else {
				item.Procedure = find(x, "procedure", item.Ref, procedures)
			}
		}
	}
}

type resolver struct {
	log    *diagnostic.Log
	shared map[string]*stepsFile
	// machine is that of the procedure at hand, and taken holds the steps that it has taken in.
	machine *procedure.Machine
	taken   []taken
	// ids is set for a part of a library.
	ids IDs
}

// refittingName reports a procedure that has the name of another one's refitting.
func (x *resolver) refittingName(own string, span text.Span, procedures func(id string) (text.Span, bool)) {
	id, turned := strings.CutSuffix(own, refit.Suffix)
	removal, there := procedures(id)
	if !turned || !there {
		return
	}
	d := newDiagnostic("duplicate-name", span, say.That("the refitting that is derived from %id is called %name too", say.Quote(id), say.Quote(own)),
		say.That("Give this procedure another name, or write its steps into a refit file of %id.", say.Quote(id)))
	d.See = []diagnostic.Related{{Span: removal, Says: say.That("the procedure that is refitted")}}
	x.log.Add(d)
}

// oneGlossary reports glossaries behind the first one.
func (x *resolver) oneGlossary(spans []text.Span) {
	for i := 1; i < len(spans); i++ {
		d := newDiagnostic("repeated-glossary", spans[i], say.That("the library has a glossary already"), say.That("Put all terms into one file."))
		d.See = []diagnostic.Related{{Span: spans[0], Says: say.That("the first one")}}
		x.log.Add(d)
	}
}

// index lists things by name and reports a name that is taken twice.
func index[T any](x *resolver, kind string, things []T, name func(T) (string, text.Span)) map[string]T {
	out := map[string]T{}
	for _, t := range things {
		id, span := name(t)
		if first, taken := out[id]; taken {
			_, there := name(first)
			d := newDiagnostic("duplicate-name", span, say.That("the %kind %id is there twice", say.Word(kind), say.Quote(id)), say.That("Give one of them another name."))
			d.See = []diagnostic.Related{{Span: there, Says: say.That("the first one")}}
			x.log.Add(d)
			continue
		}
		out[id] = t
	}
	return out
}

// find returns the named thing; a name that leads nowhere is reported and gives the zero value.
func find[T any](x *resolver, kind string, ref procedure.Ref, things map[string]T) T {
	t, ok := things[ref.ID]
	if !ok && ref.ID != "" { // A name that is missing is reported in its own place.
		names := x.ids[kind]
		if x.ids == nil {
			names = sortedKeys(things)
		}
		d := newDiagnostic("undefined-name", ref.Span, say.That("there is no %kind %name", say.Word(kind), say.Quote(ref.ID)), say.Text{})
		d.Advice, d.Fixes = diagnostic.Suggest(ref.Span, ref.ID, names, say.That("Write the %kind, or correct the name.", say.Word(kind)))
		x.log.Add(d)
	}
	return t
}

// include returns a file's steps and figures with those that it takes in, in order.
// path holds the inclusions that led here.
func (x *resolver) include(f *stepsFile, path []procedure.Ref, used map[string]bool) ([]*procedure.Step, []*procedure.Figure) {
	var steps []*procedure.Step
	figures := append([]*procedure.Figure(nil), f.figures...)
	next := 0
	for i := 0; i <= len(f.steps); i++ {
		for ; next < len(f.inclusions) && f.inclusions[next].at == i; next++ {
			i := &f.inclusions[next]
			s, g := x.includeFile(i, path, used)
			i.given.addTo(s, i.begun)
			steps, figures = append(steps, s...), appendNew(figures, g)
		}
		if i < len(f.steps) {
			// A copy: each procedure numbers its steps itself.
			s := *f.steps[i]
			steps = append(steps, &s)
		}
	}
	return steps, figures
}

// appendNew appends those that are not there yet: steps that are taken in twice have the same figures.
func appendNew[T comparable](to, more []T) []T {
	for _, x := range more {
		if !slices.Contains(to, x) {
			to = append(to, x)
		}
	}
	return to
}

// addTo gives steps that are taken in who does them there, unless they say so themselves, and what else their section there states, but
// for those in sections of their own.
func (c *common) addTo(steps []*procedure.Step, begun bool) {
	for _, s := range steps {
		if s.Unsaid.Who && c.who != nil {
			s.Who, s.Unsaid.Who = c.who, false
			s.People = s.Crew()
		}
		if s.Chapter != "" {
			continue
		}
		s.Chapter = c.chapter
		s.Stand(c.cautions, !begun)
		begun = begun || s.If == "" && len(s.Variants) == 0
	}
}

func (x *resolver) includeFile(i *inclusion, path []procedure.Ref, used map[string]bool) ([]*procedure.Step, []*procedure.Figure) {
	ref := i.ref
	for _, p := range path {
		if p.ID == ref.ID {
			d := newDiagnostic("include-cycle", ref.Span, say.That("these steps take in themselves"), say.That("Take one of the include blocks out."))
			d.See = []diagnostic.Related{{Span: p.Span, Says: say.That("the inclusion that comes round again")}}
			x.log.Add(d)
			return nil, nil
		}
	}
	f := find(x, "steps file", ref, x.shared)
	if f == nil {
		return nil, nil
	}
	used[ref.ID] = true
	values, ok := x.values(f, i)
	if !ok {
		return nil, nil
	}
	f = f.with(values, x.machine)
	if !x.takes(f, ref) {
		return nil, nil
	}
	return x.include(f, append(path[:len(path):len(path)], ref), used)
}

func sortedKeys[T any](m map[string]T) []string {
	return slices.Sorted(maps.Keys(m))
}
