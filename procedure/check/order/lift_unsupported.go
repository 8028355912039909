package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var liftUnsupported = Check{
	Rule: diagnostic.Rule{
		Code: "lift-unsupported", Severity: diagnostic.Error, Title: "Lift with a support that does not carry the part",
		Wrong: "A part is lifted with a support that was not put on it, or was taken away again.",
		Why:   "Nobody tightened the sling and looked whether it sits straight before the load moved.",
		Do:    "Put the support on in a step before the lift.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if e.Part == nil || e.Action.Verb != procedure.Lift {
				return
			}
			on := e.Before.Group(e.Part).Carriers
			for _, x := range e.Supports {
				if slices.Contains(on, x) {
					continue
				}
				puts := func(y *state.Event) bool {
					return y.Part == e.Part && y.Action.Verb == procedure.Hang && slices.Contains(y.Supports, x)
				}
				why, at := say.That("it is never put on"), find(f, e.Index, puts)
				if at != nil {
					why = say.That("it is put on only in step %step", number(at))
				} else if at = find(f, 0, func(y *state.Event) bool {
					return y.Part == e.Part && y.Action.Verb == procedure.Release && slices.Contains(y.Supports, x) && y.Index < e.Index
				}); at != nil {
					why = say.That("it is taken away in step %step", number(at))
				}
				report(diagnostic.Diagnostic{
					Span: object(e), Wrong: say.That("the %part is lifted with the %thing in step %step, but that does not carry it: %why", say.Name(e.Part.ID), say.Name(x.ID), number(e), why),
					Advice: say.That("Before the lift, write: support %part with %thing.", say.Name(e.Part.ID), say.Name(x.ID)), See: see(at, say.That("here")),
				})
			}
		})
	},
}
