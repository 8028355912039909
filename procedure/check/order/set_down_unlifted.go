package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var setDownUnlifted = Check{
	Rule: diagnostic.Rule{
		Code: "set-down-unlifted", Severity: diagnostic.Error, Title: "Set down without a lift",
		Wrong: "A part is set down that is not lifted.",
		Why:   "The lift is missing, and with it the hold point and the look at the sling.",
		Do:    "Add the lift, in a step of its own, after a hold point.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if e.Part == nil || e.Action.Verb != procedure.SetDown {
				return
			}
			at := e.Before.Part(e.Part)
			if at.Is == state.Lifted {
				return
			}
			lift := find(f, e.Index, func(x *state.Event) bool { return x.Part == e.Part && x.Action.Verb == procedure.Lift })
			report(diagnostic.Diagnostic{
				Span: object(e), Wrong: say.That("the %part is set down in step %step, but it is %state; %when", say.Name(e.Part.ID), number(e), say.Word(at.Is.String()), when(e, lift, say.That("it is lifted only"), say.That("nothing lifts it"))),
				Advice: say.That("Lift the %part before step %step.", say.Name(e.Part.ID), number(e)), See: append(see(f.Trace.Event(at.Last), say.That("it got there here")), see(lift, say.That("the lift is here"))...),
			})
		})
	},
}
