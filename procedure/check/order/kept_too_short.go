package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var keptTooShort = Check{
	Rule: diagnostic.Rule{
		Code: "kept-too-short", Severity: diagnostic.Error, Title: "Kept fastener is turned too early",
		Wrong: "A fastener that is kept until a step or a condition is turned before it.",
		Why:   "It was kept because something hangs on it or turns against it. That reason still holds.",
		Do:    "Turn the fastener after what it is kept for, or correct the reason.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if e.Fastener == nil || e.Action.Verb != procedure.Remove && e.Action.Verb != procedure.Loosen {
				return
			}
			does := say.That("comes out")
			if e.Action.Verb == procedure.Loosen {
				does = say.That("is loosened")
			}
			keep := f.Trace.Event(e.Before.Fastener(e.Fastener).Kept)
			if keep == nil || staysIn(e, keep) {
				return
			}
			for _, ref := range keep.Action.Reason.Mentions() {
				var until say.Text
				if s := f.Job.Step(ref.ID); s != nil && s.Number > e.Step.Number {
					until = say.That("step %step", say.Name(ref.ID))
				}
				if c := f.Trace.Assembly.Condition(ref.ID); c != nil && !e.Before.Condition(c).Holds() {
					until = say.That("%condition", say.Name(ref.ID))
				}
				if !until.Empty() {
					report(diagnostic.Diagnostic{
						Span: object(e), Wrong: say.That("fastener %fastener %does in step %step, but it is kept until %until", say.Name(e.Fastener.ID), does, number(e), until),
						Advice: say.That("Turn it after %until, or correct the reason.", until), See: see(keep, say.That("it is kept here")),
					})
				}
			}
		})
	},
}

// staysIn reports whether only some pieces come out, and those that are kept stay.
func staysIn(e, keep *state.Event) bool {
	kept := keep.Action.Some(e.Fastener.Fastener)
	return kept > 0 && e.Action.Verb == procedure.Remove && e.Fastener.Count-int(e.After.Fastener(e.Fastener).Gone) >= kept
}
