package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
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
				Span:   object(e),
				Wrong:  say.That("%supports %supports(is|are) taken away in step %step while the %part is in the air; %when", supports(e.Supports), number(e), say.Name(e.Part.ID), when(e, down, say.That("it is set down"), say.That("it is never set down"))),
				Advice: say.That("Set the %part down before step %step.", say.Name(e.Part.ID), number(e)), See: see(lift, say.That("it is lifted here")),
			})
		})
	},
}
