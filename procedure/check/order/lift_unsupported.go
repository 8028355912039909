package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
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
				why, at := "it is never put on", find(f, e.Index, puts)
				if at != nil {
					why = "it is put on only in " + step(at)
				} else if at = find(f, 0, func(y *state.Event) bool {
					return y.Part == e.Part && y.Action.Verb == procedure.Release && slices.Contains(y.Supports, x) && y.Index < e.Index
				}); at != nil {
					why = "it is taken away in " + step(at)
				}
				report(diagnostic.Diagnostic{
					Span: object(e), Message: "the " + e.Part.ID + " is lifted with the " + x.ID + " in " + step(e) + ", but that does not carry it: " + why,
					Do: "Before the lift, write: support " + e.Part.ID + " with " + x.ID + ".", See: see(at, "here"),
				})
			}
		})
	},
}
