package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var liftWithoutHold = Check{
	Rule: diagnostic.Rule{
		Code: "lift-without-hold", Severity: diagnostic.Error, Title: "Lift without a hold point right before it",
		Wrong: "A part is lifted, and the step before does not end with a hold point, or other work comes between.",
		Why:   "Before a load moves, everybody stops and looks: floor, sling, what still ties it, who stands where.",
		Do:    "End the step before the lift with a hold point, and begin the next step with the lift.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		for i, s := range f.Job.Steps {
			events := f.Trace.Step(i)
			for j := range events {
				e := &events[j]
				if e.Part == nil || e.Action.Verb != procedure.Lift {
					continue
				}
				d := diagnostic.Diagnostic{Span: object(e)}
				var between *state.Event
				for k := range events[:j] {
					if events[k].Changes() && events[k].Action.Verb != procedure.Lift {
						between = &events[k]
					}
				}
				switch {
				case i == 0 || state.Hold(f.Job.Steps[i-1]) == nil:
					d.Wrong = say.That("the %part is lifted in step %step, and no hold point stands right before it", say.Name(e.Part.ID), number(e))
					d.Advice = say.That("End the step before %before with a hold point.", say.Name(s.ID))
					if hold := earlierHold(f, i); hold != nil {
						d.See = []diagnostic.Related{{Span: hold.Span, Says: say.That("the last hold point before is here")}}
					}
				case between != nil:
					d.Wrong = say.That("the %part is lifted in step %step after more work than its hold point saw: %verb %object", say.Name(e.Part.ID), number(e), say.Word(between.Action.Verb), say.Name(between.Action.Object.ID))
					d.Advice = say.That("Begin a new step with the lift, and end the one before with the hold point.")
					d.See = see(between, say.That("this comes between"))
				default:
					continue
				}
				report(d)
			}
		}
	},
}

// earlierHold returns the last hold point before the job's i-th step; nil when there is none.
func earlierHold(f *Facts, i int) *procedure.Hold {
	for i--; i >= 0; i-- {
		if h := state.Hold(f.Job.Steps[i]); h != nil {
			return h
		}
	}
	return nil
}
