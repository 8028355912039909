package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var capacityUnknown = Check{
	Rule: diagnostic.Rule{
		Code: "capacity-unknown", Severity: diagnostic.Warning, Title: "Support without a rated capacity",
		Wrong: "A support carries a part, and its row states no rated capacity.",
		Why:   "Lifting gear without a plate is not used. A support that is not rated cannot be checked.",
		Do:    "Read the plate and state the capacity.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		told := map[*state.Support]bool{}
		each(f, func(e *state.Event) {
			if e.Action.Verb == procedure.Release {
				return
			}
			for _, x := range e.Supports {
				if told[x] || !x.Capacity.IsZero() || !x.Ability().Holds() {
					continue
				}
				told[x] = true
				report(diagnostic.Diagnostic{
					Span: x.Row.Span, Wrong: say.That("the %thing carries the %object, but its rated capacity is not stated", say.Name(x.ID), say.Name(e.Action.Object.ID)),
					Advice: say.That("State its capacity."), See: see(e, say.That("it is used here")),
				})
			}
		})
	},
}
