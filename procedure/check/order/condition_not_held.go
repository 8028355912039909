package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var conditionNotHeld = Check{
	Rule: diagnostic.Rule{
		Code: "condition-not-held", Severity: diagnostic.Error, Title: "Needed condition does not hold",
		Wrong: "A step, a connection that comes off, or a belt or chain that goes on, needs a condition that does not hold then.",
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
					Span: ref.Span, Wrong: say.That("step %step needs %condition, but %why", number(moment), say.Name(c.ID), why),
					Advice: say.That("Establish %condition before step %step, or move the step.", say.Name(c.ID), number(moment)), See: see(at, say.That("here")),
				})
			}
		}
		each(f, func(e *state.Event) {
			if e.Connection == nil {
				return
			}
			if e.Action.Verb == procedure.Connect {
				laidOnTight(f, e, report)
			}
			if e.Action.Verb != procedure.Disconnect {
				return
			}
			for _, c := range e.Connection.Conditions {
				if e.Before.Condition(c).Holds() {
					continue
				}
				why, at := whyNot(f, e, c)
				report(diagnostic.Diagnostic{
					Span: object(e), Wrong: say.That("the %connection comes off in step %step and needs %condition, but %why", say.Name(e.Connection.ID), number(e), say.Name(c.ID), why),
					Advice: say.That("Establish %condition before step %step.", say.Name(c.ID), number(e)), See: append(see(at, say.That("here")), registered(&e.Connection.Row)),
				})
			}
		})
	},
}

// laidOnTight reports a belt or a chain that goes on while what it needs to come off does not hold: its drive is set already.
func laidOnTight(f *Facts, e *state.Event, report func(diagnostic.Diagnostic)) {
	if !drives(e.Connection) {
		return
	}
	for _, c := range e.Connection.Conditions {
		if c.Energy || e.Before.Condition(c).Holds() {
			continue
		}
		why, at := whyNot(f, e, c)
		report(diagnostic.Diagnostic{
			Span: object(e), Wrong: say.That("the %connection goes on in step %step and needs %condition, but %why", say.Name(e.Connection.ID), number(e), say.Name(c.ID), why),
			Advice: say.That("Connect the %connection first.", say.Name(e.Connection.ID)), See: append(see(at, say.That("here")), registered(&e.Connection.Row)),
		})
	}
}

// drives reports whether a connection is a belt or a chain.
func drives(c *state.Connection) bool {
	return c.Kind == procedure.Belt || c.Kind == procedure.Chain
}
