package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var flushOrder = Check{
	Rule: diagnostic.Rule{
		Code: "flush-order", Severity: diagnostic.Error, Title: "Flushed at the wrong time, or not at all",
		Wrong: "A circuit is flushed before it is drained, or filled without the flushing that its row asks for.",
		Why:   "Dirt that is not flushed out goes through the new bearings first.",
		Do:    "Drain, flush, fill: in this order.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if e.Fluid == nil {
				return
			}
			is := e.Before.Fluid(e.Fluid).Is
			switch {
			case e.Action.Verb == procedure.Flush && is == state.Full:
				drain := find(f, e.Index, func(x *state.Event) bool { return x.Fluid == e.Fluid && x.Action.Verb == procedure.Drain })
				report(diagnostic.Diagnostic{
					Span: object(e), Wrong: say.That("the circuit of %fluid is flushed in step %step while it is full", say.Name(e.Fluid.ID), number(e)),
					Advice: say.That("Drain it before."), See: see(drain, say.That("it is drained only here")),
				})
			case e.Action.Verb == procedure.Fill && is == state.Drained && e.Fluid.Flush != "":
				report(diagnostic.Diagnostic{
					Span: object(e), Wrong: say.That("%fluid is filled in step %step without flushing, and its row asks for that: %flush", say.Name(e.Fluid.ID), number(e), say.Name(e.Fluid.Flush)),
					Advice: say.That("Write flush %fluid before.", say.Name(e.Fluid.ID)), See: append(see(f.Trace.Event(e.Before.Fluid(e.Fluid).Last), say.That("it is drained here")), registered(&e.Fluid.Row)),
				})
			}
		})
	},
}
