package source

import (
	"maps"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/refit"
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

	used := map[string]bool{}
	for i, p := range l.Procedures {
		p.Machine = find(&x, "machine", p.MachineRef, machines)
		x.taken = map[string]procedure.Ref{}
		p.Steps, p.Figures = x.include(l.own[i], nil, used)
		for n, s := range p.Steps {
			s.Number = n + 1
		}
		if len(p.Steps) == 0 && !l.own[i].blocks {
			x.log.Add(newDiagnostic("empty-procedure", p.Span, "this procedure has no steps", "Write a step block."))
		}
	}
	waysBack := map[string]*procedure.WayBack{}
	for _, w := range l.waysBack {
		p := find(&x, "procedure", w.ProcedureRef, procedures)
		if p == nil {
			continue
		}
		if first, taken := waysBack[p.ID]; taken {
			d := newDiagnostic("duplicate-name", w.ProcedureRef.Span, "the way back of "+quote(p.ID)+" is added to twice", "Put all steps into one file.")
			d.See = []diagnostic.Related{{Span: first.ProcedureRef.Span, Why: "the first file"}}
			x.log.Add(d)
			continue
		}
		waysBack[p.ID], p.WayBack = w, w
		p.Figures = append(p.Figures, w.Figures...)
	}
	for _, p := range l.Procedures {
		nameMentions(p)
		x.refittingName(p.ID, p.Span, func(id string) (text.Span, bool) {
			if forth := procedures[id]; forth != nil {
				return forth.Span, true
			}
			return text.Span{}, false
		})
	}
	for _, s := range l.shared {
		if !used[s.id] {
			x.log.Add(newDiagnostic("unused-file", s.idSpan, "no procedure takes in these steps", "Include them, or take the file out."))
		}
	}
	for _, q := range l.Quizzes {
		q.Procedure = find(&x, "procedure", q.ProcedureRef, procedures)
		nameQuizMentions(q)
	}
	for _, c := range l.Courses {
		for i := range c.Sessions {
			for j := range c.Sessions[i].Items {
				item := &c.Sessions[i].Items[j]
				if item.IsQuiz {
					item.Quiz = find(&x, "quiz", item.Ref, quizzes)
				} else {
					item.Procedure = find(&x, "procedure", item.Ref, procedures)
				}
			}
		}
	}
	return l.Library
}

type resolver struct {
	log    *diagnostic.Log
	shared map[string]*stepsFile
	// taken holds the steps files that the procedure at hand has taken in.
	taken map[string]procedure.Ref
	// ids is set for a part of a library.
	ids IDs
}

// refittingName reports a procedure that has the name of another one's refitting.
func (x *resolver) refittingName(own string, span text.Span, procedures func(id string) (text.Span, bool)) {
	id, turned := strings.CutSuffix(own, refit.Suffix)
	forth, there := procedures(id)
	if !turned || !there {
		return
	}
	d := newDiagnostic("duplicate-name", span, "the refitting that is derived from "+quote(id)+" is called "+quote(own)+" too",
		"Give this procedure another name, or write its steps into a refit file of "+quote(id)+".")
	d.See = []diagnostic.Related{{Span: forth, Why: "the procedure that is refitted"}}
	x.log.Add(d)
}

// index lists things by name and reports a name that is taken twice.
func index[T any](x *resolver, kind string, things []T, name func(T) (string, text.Span)) map[string]T {
	out := map[string]T{}
	for _, t := range things {
		id, span := name(t)
		if first, taken := out[id]; taken {
			_, there := name(first)
			d := newDiagnostic("duplicate-name", span, "the "+kind+" "+quote(id)+" is there twice", "Give one of them another name.")
			d.See = []diagnostic.Related{{Span: there, Why: "the first one"}}
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
		x.log.Add(newDiagnostic("undefined-name", ref.Span, "there is no "+kind+" "+quote(ref.ID),
			diagnostic.Suggest(ref.ID, names, "Write the "+kind+", or correct the name.")))
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
			ref := f.inclusions[next].ref
			s, g := x.includeFile(ref, path, used)
			steps, figures = append(steps, s...), append(figures, g...)
		}
		if i < len(f.steps) {
			// A copy: each procedure numbers its steps itself.
			s := *f.steps[i]
			steps = append(steps, &s)
		}
	}
	return steps, figures
}

func (x *resolver) includeFile(ref procedure.Ref, path []procedure.Ref, used map[string]bool) ([]*procedure.Step, []*procedure.Figure) {
	for _, p := range path {
		if p.ID == ref.ID {
			d := newDiagnostic("include-cycle", ref.Span, "these steps take in themselves", "Take one of the include blocks out.")
			d.See = []diagnostic.Related{{Span: p.Span, Why: "the inclusion that comes round again"}}
			x.log.Add(d)
			return nil, nil
		}
	}
	if first, twice := x.taken[ref.ID]; twice {
		d := newDiagnostic("repeated-include", ref.Span, "the steps "+quote(ref.ID)+" are taken in twice", "Take one of the include blocks out.")
		d.See = []diagnostic.Related{{Span: first.Span, Why: "taken in here already"}}
		x.log.Add(d)
		return nil, nil
	}
	f := find(x, "steps file", ref, x.shared)
	if f == nil {
		return nil, nil
	}
	used[ref.ID] = true
	x.taken[ref.ID] = ref
	return x.include(f, append(path[:len(path):len(path)], ref), used)
}

func sortedKeys[T any](m map[string]T) []string {
	return slices.Sorted(maps.Keys(m))
}
