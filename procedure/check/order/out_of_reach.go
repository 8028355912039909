package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var outOfReach = Check{
	Rule: diagnostic.Rule{
		Code: "out-of-reach", Severity: diagnostic.Error, Title: "Act under a cover that is on",
		Wrong: "A fastener is turned, a connection joined or taken apart, or a fluid drained while a part that its row names under `under` is in place.",
		Why:   "No tool reaches it. Somebody will bend the cover, or reach in where nobody can see.",
		Do:    "Take the cover off before; in the refitting put it on after.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			row, covers := touched(e)
			var on []*state.Part
			var places []diagnostic.Related
			for _, q := range covers {
				if e.Before.Part(q).Is != state.InPlace {
					continue
				}
				on = append(on, q)
				places = append(places, see(find(f, e.Index, func(x *state.Event) bool { return x.Part == q && x.Departs() }), say.That("the %other leaves only here", say.Name(q.ID)))...)
			}
			if len(on) == 0 {
				return
			}
			report(diagnostic.Diagnostic{
				Span: object(e), Wrong: say.That("%thing lies under %on, and %on %on(is|are) in place in step %step", name(e), parts(on), number(e)),
				Advice: say.That("Have %on off while that is done.", parts(on)), See: append(places, registered(row)),
			})
		})
	},
}

// touched returns what hands and tools must reach for an event, with the parts that lie over it; nil for nothing.
func touched(e *state.Event) (row *procedure.Row, covers []*state.Part) {
	switch e.Action.Verb {
	case procedure.Remove, procedure.Loosen, procedure.Fit, procedure.Tighten, procedure.Mark, procedure.Inspect, procedure.Clean:
		if e.Fastener != nil {
			return &e.Fastener.Row, e.Fastener.Covers
		}
	}
	switch e.Action.Verb {
	case procedure.Disconnect, procedure.Connect, procedure.Mark, procedure.Inspect, procedure.Clean:
		if e.Connection != nil {
			return &e.Connection.Row, e.Connection.Covers
		}
	case procedure.Drain:
		if e.Fluid != nil {
			return &e.Fluid.Row, e.Fluid.Covers
		}
	}
	return nil, nil
}

var outOfSight = Check{
	Rule: diagnostic.Rule{
		Code: "out-of-sight", Severity: diagnostic.Advice, Title: "Marked, cleaned, looked at or turned under a cover that is on",
		Wrong: "A part is marked, cleaned or inspected while a part that lies over it, by its column `under`, is in place. Or a fastener that holds parts together, and whose row says nothing of covers, is turned while all that it joins lies under one that is on.",
		Why:   "Nobody sees through a lid. The tick is given all the same.",
		Do:    "Do it after its cover is off. Where it can be seen and reached from outside, nothing.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if on := overJoint(e); len(on) > 0 {
				report(diagnostic.Diagnostic{
					Span: object(e), Wrong: say.That("%verb %fastener in step %step: %on %on(lies|lie) over what it joins", say.Word(e.Action.Verb), say.Name(e.Fastener.ID), number(e), parts(on)),
					Advice: say.That("Do it when %on %on(is|are) off, if it cannot be reached from outside.", parts(on)), See: []diagnostic.Related{registered(&e.Fastener.Row)},
				})
			}
			if e.Part == nil || e.Action.Verb != procedure.Inspect && e.Action.Verb != procedure.Mark && e.Action.Verb != procedure.Clean {
				return
			}
			if on := e.Before.Covering(e.Part); len(on) > 0 {
				report(diagnostic.Diagnostic{
					Span: object(e), Wrong: say.That("%verb %part in step %step: %on %on(lies|lie) over it", say.Word(e.Action.Verb), say.Name(e.Part.ID), number(e), parts(on)),
					Advice: say.That("Do it when %on %on(is|are) off, if it cannot be reached from outside.", parts(on)), See: []diagnostic.Related{registered(&e.Part.Row)},
				})
			}
		})
	},
}

// overJoint lists the parts in place that lie over all that a turned fastener joins, base parts apart; none where its row says
// itself what lies over it.
func overJoint(e *state.Event) []*state.Part {
	x := e.Fastener
	if x == nil || !x.Carries() || len(x.Covers) > 0 || e.Action.Verb != procedure.Remove && e.Action.Verb != procedure.Loosen {
		return nil
	}
	var over []*state.Part
	first := true
	for _, p := range x.Parts {
		if p.Base {
			continue
		}
		covering := e.Before.Covering(p)
		if first {
			over, first = slices.Clone(covering), false
			continue
		}
		over = slices.DeleteFunc(over, func(q *state.Part) bool { return !slices.Contains(covering, q) })
	}
	return slices.DeleteFunc(over, x.Joins)
}
