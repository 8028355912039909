package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
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
					Span: object(e), Message: "the circuit of " + e.Fluid.ID + " is flushed in " + step(e) + " while it is full",
					Do: "Drain it before.", See: see(drain, "it is drained only here"),
				})
			case e.Action.Verb == procedure.Fill && is == state.Drained && e.Fluid.Flush != "":
				report(diagnostic.Diagnostic{
					Span: object(e), Message: e.Fluid.ID + " is filled in " + step(e) + " without flushing, and its row asks for that: " + e.Fluid.Flush,
					Do: "Write flush " + e.Fluid.ID + " before.", See: append(see(f.Trace.Event(e.Before.Fluid(e.Fluid).Last), "it is drained here"), registered(&e.Fluid.Row)),
				})
			}
		})
	},
}
