package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/state"
)

var drainedClosed = Check{
	Rule: diagnostic.Rule{
		Code: "drained-closed", Severity: diagnostic.Error, Title: "Drained before its plug is out",
		Wrong: "A fluid is drained while the plug that this step takes out is still in.",
		Why:   "Nothing runs. The learner takes the circuit for empty, and then the plug comes out.",
		Do:    "Take the plug out before the action that drains.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if e.Fluid == nil || e.Action.Verb != procedure.Drain {
				return
			}
			events := f.Trace.Step(e.Step.Number - 1)
			for i := range events {
				x := &events[i]
				if x.Index < e.Index || x.Fastener == nil || x.Fastener.Kind != procedure.Plug || x.Action.Verb != procedure.Remove {
					continue
				}
				report(diagnostic.Diagnostic{
					Span: object(e), Message: "the " + e.Fluid.ID + " is drained in " + step(e) + " while plug " + x.Fastener.ID + " is in; it comes out further down in the step",
					Do: "Take plug " + x.Fastener.ID + " out first.", See: see(x, "the plug comes out here"),
				})
			}
		})
	},
}
