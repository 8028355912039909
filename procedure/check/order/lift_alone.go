package order

import (
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var liftAlone = Check{
	Rule: diagnostic.Rule{
		Code: "lift-alone", Severity: diagnostic.Advice, Title: "Lift by one person alone",
		Wrong: "A part is lifted with lifting gear in a step for one person.",
		Why:   "One person runs the hoist. Nobody steers the load, and nobody watches the zone.",
		Do:    "State `people=2` at least.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if liftsOnHook(e) && e.Step.People < 2 {
				report(diagnostic.Diagnostic{
					Span: object(e), Wrong: say.That("the %part is lifted in step %step by one person alone", say.Name(e.Part.ID), number(e)),
					Advice: say.That("State `people=2` at the step: one runs the hoist, one steers and watches."), See: []diagnostic.Related{{Span: e.Step.Span, Says: say.That("the step")}},
				})
			}
		})
	},
}

var liftUnwarned = Check{
	Rule: diagnostic.Rule{
		Code: "lift-unwarned", Severity: diagnostic.Advice, Title: "Lift without a caution",
		Wrong: "A step lifts a part with lifting gear, and no caution stands in it before the lift.",
		Why:   "Nothing tells the learner to keep out from under the load.",
		Do:    "Write a caution before the lift: what can fall, and where nobody stands.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		for i := range f.Job.Steps {
			events := f.Trace.Step(i)
			for j := range events {
				if e := &events[j]; liftsOnHook(e) && !warned(e) {
					report(diagnostic.Diagnostic{
						Span: object(e), Wrong: say.That("the %part is lifted in step %step, and no caution stands before that", say.Name(e.Part.ID), number(e)),
						Advice: say.That("Write a caution before the lift: what can fall, and where nobody stands."),
					})
				}
			}
		}
	},
}

// warned reports whether a caution stands in an event's step before its action.
func warned(e *state.Event) bool {
	for _, b := range e.Step.Blocks {
		shown := b.Shows()
		if shown.Warning != nil {
			return true
		}
		for _, a := range shown.Actions {
			if a == e.Action {
				return false
			}
		}
	}
	return false
}
