package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/state"
)

var conditionNotHeld = Check{
	Rule: diagnostic.Rule{
		Code: "condition-not-held", Severity: diagnostic.Error, Title: "Needed condition does not hold",
		Wrong: "A step, or a connection that comes off, needs a condition that does not hold then.",
		Why:   "The belt is still under tension, the oven still hot, the zone not barred.",
		Do:    "Establish the condition before, or move the step.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		for i, s := range f.Job.Steps {
			for _, ref := range s.Needs {
				c := f.Trace.Assembly.Condition(ref.ID)
				if c == nil || f.Trace.Before(i).Condition(c).Holds() {
					continue
				}
				// The step as a whole stands where its first action would.
				moment := &state.Event{Index: len(f.Trace.Events) - len(f.Trace.From(i)), Step: s, Before: f.Trace.Before(i)}
				why, at := whyNot(f, moment, c)
				report(diagnostic.Diagnostic{
					Span: ref.Span, Message: step(moment) + " needs " + c.ID + ", but " + why,
					Do: "Establish " + c.ID + " before " + step(moment) + ", or move the step.", See: see(at, "here"),
				})
			}
		}
		each(f, func(e *state.Event) {
			if e.Connection == nil || e.Action.Verb != procedure.Disconnect {
				return
			}
			for _, c := range e.Connection.Conditions {
				if e.Before.Condition(c).Holds() {
					continue
				}
				why, at := whyNot(f, e, c)
				report(diagnostic.Diagnostic{
					Span: object(e), Message: "the " + e.Connection.ID + " comes off in " + step(e) + " and needs " + c.ID + ", but " + why,
					Do: "Establish " + c.ID + " before " + step(e) + ".", See: append(see(at, "here"), registered(&e.Connection.Row)),
				})
			}
		})
	},
}
