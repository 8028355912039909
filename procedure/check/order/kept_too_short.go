package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
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
			does := "comes out"
			if e.Action.Verb == procedure.Loosen {
				does = "is loosened"
			}
			keep := f.Trace.Event(e.Before.Fastener(e.Fastener).Kept)
			if keep == nil {
				return
			}
			for _, ref := range keep.Action.Reason.Mentions {
				until := ""
				if s := f.Job.Step(ref.ID); s != nil && s.Number > e.Step.Number {
					until = "step " + ref.ID
				}
				if c := f.Trace.Assembly.Condition(ref.ID); c != nil && !e.Before.Condition(c).Holds() {
					until = ref.ID
				}
				if until != "" {
					report(diagnostic.Diagnostic{
						Span: object(e), Message: "fastener " + e.Fastener.ID + " " + does + " in " + step(e) + ", but it is kept until " + until,
						Do: "Turn it after " + until + ", or correct the reason.", See: see(keep, "it is kept here"),
					})
				}
			}
		})
	},
}
