package order

import (
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var loadLeftHanging = Check{
	Rule: diagnostic.Rule{
		Code: "load-left-hanging", Severity: diagnostic.Error, Title: "Load left in the air",
		Wrong: "At a safe stop, or at the end of the job, a part is still lifted.",
		Why:   "A suspended load is never left. Brakes creep and people walk under it.",
		Do:    "Set the load down before people may leave.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		for i, s := range f.Job.Steps {
			last := i == len(f.Job.Steps)-1
			if !last && !state.SafeStop(s) {
				continue
			}
			span := s.Span
			if hold := state.Hold(s); hold != nil && hold.SafeStop {
				span = hold.Span
			}
			var lifted []*state.Part
			var at *state.Event
			for _, p := range f.Trace.Assembly.Parts {
				if x := f.Trace.After(i).Part(p); x.Is == state.Lifted {
					lifted, at = append(lifted, p), f.Trace.Event(x.Last)
				}
			}
			if len(lifted) == 0 {
				continue
			}
			why := say.That("work can stop here")
			if last {
				why = say.That("the job ends here")
			}
			report(diagnostic.Diagnostic{
				Span: span, Wrong: say.That("%why with %lifted in the air", why, parts(lifted)),
				Advice: say.That("Set %lifted down before.", parts(lifted)), See: see(at, say.That("it is lifted here")),
			})
		}
	},
}
