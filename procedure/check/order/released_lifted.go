package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/state"
)

var releasedLifted = Check{
	Rule: diagnostic.Rule{
		Code: "released-lifted", Severity: diagnostic.Error, Title: "Support taken away from a load in the air",
		Wrong: "A support is taken away while the part is lifted.",
		Why:   "The load falls. Changing gear is done with the load set down.",
		Do:    "Set the part down first.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if e.Part == nil || e.Action.Verb != procedure.Release || e.Before.Part(e.Part).Is != state.Lifted {
				return
			}
			lift := f.Trace.Event(e.Before.Part(e.Part).Last)
			down := find(f, e.Index, func(x *state.Event) bool { return x.Part == e.Part && x.Action.Verb == procedure.SetDown })
			report(diagnostic.Diagnostic{
				Span:    object(e),
				Message: supports(e.Supports) + " " + is(e.Supports) + " taken away in " + step(e) + " while the " + e.Part.ID + " is in the air; " + when(e, down, "it is set down", "it is never set down"),
				Do:      "Set the " + e.Part.ID + " down before " + step(e) + ".", See: see(lift, "it is lifted here"),
			})
		})
	},
}
