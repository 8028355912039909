package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
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
			if slices.ContainsFunc(events, func(x state.Event) bool {
				return x.Index < e.Index && x.Fastener != nil && x.Fastener.Kind == procedure.Plug && x.After.Fastener(x.Fastener).Is == state.Out
			}) {
				return // another plug lets it out; the later one is of another circuit
			}
			for i := range events {
				x := &events[i]
				if x.Index < e.Index || x.Fastener == nil || x.Fastener.Kind != procedure.Plug || x.Action.Verb != procedure.Remove {
					continue
				}
				report(diagnostic.Diagnostic{
					Span: object(e), Wrong: say.That("the %fluid is drained in step %step while plug %fastener is in; it comes out further down in the step", say.Name(e.Fluid.ID), number(e), say.Name(x.Fastener.ID)),
					Advice: say.That("Take plug %fastener out first.", say.Name(x.Fastener.ID)), See: see(x, say.That("the plug comes out here")),
				})
			}
		})
	},
}
