package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

// One person, one lock, one key.
//
// Source: 29 CFR 1910.147(f)(3)(ii)(D), each authorized employee affixes a personal lock, and (e)(3), whoever applied a lock removes it; read in quoting pages.

var locksFew = Check{
	Rule: diagnostic.Rule{
		Code: "locks-few", Severity: diagnostic.Error, Title: "Fewer locks than people at work",
		Wrong: "More people work on the machine than locks keep its energy away, by what the acts say.",
		Why:   "Whoever works under the lock of another is at the machine when that one goes home and switches it on.",
		Do:    "Write as many locks as people work at the same time, or locks=each: one of everybody who works on the machine.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		hang := map[*state.Condition]state.Locks{}
		note := func(c *state.Condition, i int) {
			if l := state.LocksOn(f.Out, f.Trace, c, i); len(l.On) > 0 {
				hang[c] = l
			} else {
				delete(hang, c)
			}
		}
		conditions := f.Trace.Assembly.Conditions
		for _, c := range conditions {
			note(c, 0)
		}
		each(f, func(e *state.Event) {
			for _, c := range conditions {
				if c == e.Condition || slices.Contains(e.Lost, c) {
					note(c, e.Index+1)
				}
				l, on := hang[c]
				if !on || !e.Works() || l.N >= e.Step.People || eachLocks(l) {
					continue
				}
				delete(hang, c) // told once
				report(diagnostic.Diagnostic{
					Span: l.On[0].Action.Locks.Span, Wrong: say.That("%locks %locks(lock keeps|locks keep) %condition, and %people people work in step %step", say.Count(l.N), say.Name(c.ID), say.Count(e.Step.People), number(e)),
					Advice: say.That("Write locks=%people, or locks=each: everybody who works on the machine hangs a lock of their own.", say.Count(e.Step.People)),
					See:    []diagnostic.Related{{Span: e.Step.Span, Says: say.That("the step")}},
				})
			}
		})
	},
}

// eachLocks reports whether everybody who works hangs a lock on.
func eachLocks(l state.Locks) bool {
	return slices.ContainsFunc(l.On, func(e *state.Event) bool { return e.Action.Locks.Each })
}

var lockOfAnother = Check{
	Rule: diagnostic.Rule{
		Code: "lock-of-another", Severity: diagnostic.Error, Title: "Lock taken off by somebody else",
		Wrong: "The step that takes the locks off has fewer people than locks hang there, or it is done by another trade than the one that hung them on.",
		Why:   "The owner of the lock may still have their hands in the machine. Nobody else can know.",
		Do:    "Have everybody who hung a lock on there when the locks come off: people=2, or locks=each.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		eachUnlocking(f, func(e *state.Event, l state.Locks) {
			d := diagnostic.Diagnostic{Span: object(e), See: hungOn(l)}
			off := e.Action.Locks.N
			if off == 0 {
				off = l.N
			}
			switch owners, by := trades(l.On[0]), trades(e); {
			case e.Step.People < min(off, l.N) && !e.Action.Locks.Each:
				d.Wrong = say.That("%locks %locks(lock comes|locks come) off in step %step, and %people %people(person does|people do) it: somebody takes off the lock of another", say.Count(min(off, l.N)), number(e), say.Count(e.Step.People))
				d.Advice = say.That("Write people=%locks at the step, or locks=each: everybody comes and takes off their own.", say.Count(min(off, l.N)))
			case !e.Action.Locks.Each && len(owners) > 0 && len(by) > 0 && !slices.ContainsFunc(owners, func(o string) bool { return slices.Contains(by, o) }):
				d.Wrong = say.That("the lock on %condition is that of %owner, and %other takes it off in step %step", say.Name(e.Condition.ID), say.Name(owners[0]), say.Name(by[0]), number(e))
				d.Advice = say.That("Have the lock taken off by whoever hung it on: who=%owner.", say.Name(owners[0]))
			default:
				return
			}
			report(d)
		})
	},
}

// trades are those of who does an act: its own, or those of its step.
func trades(e *state.Event) []string {
	refs := e.Action.Who
	if len(refs) == 0 {
		refs = e.Step.Who
	}
	var out []string
	for _, r := range refs {
		out = append(out, r.ID)
	}
	return out
}

var lockLeftOn = Check{
	Rule: diagnostic.Rule{
		Code: "lock-left-on", Severity: diagnostic.Error, Title: "Energy comes back while a lock is on",
		Wrong: "What keeps energy away ends, and not as many locks come off as were hung on.",
		Why:   "A lock that is still on is a person who is still at work. One too many is a lock that nobody can account for.",
		Do:    "Let as many locks come off as hang there; without locks= all of them do.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		eachUnlocking(f, func(e *state.Event, l state.Locks) {
			if off := e.Action.Locks; off.N > 0 && off.N != l.N {
				report(diagnostic.Diagnostic{
					Span: off.Span, Wrong: say.That("%off %off(lock comes|locks come) off in step %step, and %locks %locks(hangs|hang) there", say.Count(off.N), number(e), say.Count(l.N)),
					Advice: say.That("Let all come off, each by its owner, before %condition ends.", say.Name(e.Condition.ID)), See: hungOn(l),
				})
			}
		})
		each(f, func(e *state.Event) {
			for _, c := range e.Lost {
				l := state.LocksOn(f.Out, f.Trace, c, e.Index)
				if e.Action.Verb != procedure.Establish || len(l.On) == 0 {
					continue
				}
				report(diagnostic.Diagnostic{
					Span: object(e), Wrong: say.That("%other begins in step %step while the locks of %condition hang there", say.Name(e.Condition.ID), number(e), say.Name(c.ID)),
					Advice: say.That("Write undo %condition before it: each takes off their own lock.", say.Name(c.ID)), See: hungOn(l),
				})
			}
		})
	},
}

// eachUnlocking calls do for each act that ends a condition on which locks hang.
func eachUnlocking(f *Facts, do func(e *state.Event, l state.Locks)) {
	each(f, func(e *state.Event) {
		if e.Condition == nil || e.Action.Verb != procedure.Undo || !e.Before.Condition(e.Condition).Holds() {
			return
		}
		if l := state.LocksOn(f.Out, f.Trace, e.Condition, e.Index); len(l.On) > 0 {
			do(e, l)
		}
	})
}

// hungOn points to where locks were hung on.
func hungOn(l state.Locks) []diagnostic.Related {
	return []diagnostic.Related{{Span: l.On[0].Action.Locks.Span, Says: say.That("hung on here")}}
}
