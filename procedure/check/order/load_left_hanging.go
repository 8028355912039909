package order

import (
	"matchmark/procedure/diagnostic"
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
			hold := state.Hold(s)
			stop := s.SafeStop || hold != nil && hold.SafeStop
			if !last && !stop {
				continue
			}
			span := s.Span
			if hold != nil && hold.SafeStop {
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
			why := "work can stop here"
			if last {
				why = "the job ends here"
			}
			report(diagnostic.Diagnostic{
				Span: span, Message: why + " with " + parts(lifted) + " in the air",
				Do: "Set " + parts(lifted) + " down before.", See: see(at, "it is lifted here"),
			})
		}
	},
}
