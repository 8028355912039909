package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var keptForgotten = Check{
	Rule: diagnostic.Rule{
		Code: "kept-forgotten", Severity: diagnostic.Warning, Title: "Kept fastener never comes out",
		Wrong: "A fastener is kept until a step or a condition, and nothing takes it out afterwards.",
		Why:   "The learner waits for the word to take it out. It never comes.",
		Do:    "Take it out after what it is kept for, or say that it stays.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		end := f.Trace.End()
		for _, x := range f.Trace.Assembly.Fasteners {
			keep := f.Trace.Event(end.Fastener(x).Kept)
			if keep == nil || find(f, keep.Index, func(e *state.Event) bool { return e.Fastener == x && e.Action.Verb == procedure.Remove }) != nil {
				continue
			}
			for _, ref := range keep.Action.Reason.Mentions() {
				if f.Job.Step(ref.ID) == nil && f.Trace.Assembly.Condition(ref.ID) == nil {
					continue
				}
				report(diagnostic.Diagnostic{
					Span: object(keep), Wrong: say.That("fastener %thing is kept until %ref, but never comes out", say.Name(x.ID), say.Name(ref.ID)),
					Advice: say.That("Take it out after %ref, or give another reason if it stays.", say.Name(ref.ID)),
				})
				break
			}
		}
	},
}
