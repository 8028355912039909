package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var openedFull = Check{
	Rule: diagnostic.Rule{
		Code: "opened-full", Severity: diagnostic.Error, Title: "Circuit opened before it is drained",
		Wrong: "A connection comes off, or a plug comes out, while the fluid in it is not drained.",
		Why:   "The oil runs over hands, floor and brake, hot or under pressure.",
		Do:    "Drain the fluid before its circuit is opened.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			for _, x := range f.Trace.Assembly.Fluids {
				if !opens(f, e, x) || e.Before.Fluid(x).Is != state.Full {
					continue
				}
				drain := find(f, e.Index, func(y *state.Event) bool { return y.Fluid == x && y.Action.Verb == procedure.Drain })
				why := when(e, drain, say.That("it is drained only"), say.That("nothing drains it"))
				if fill := f.Trace.Event(e.Before.Fluid(x).Last); fill != nil {
					why = say.That("it is filled in step %step", number(fill))
				}
				report(diagnostic.Diagnostic{
					Span: object(e), Wrong: say.That("step %step opens %thing with %item in it: %why", number(e), name(e), say.Name(x.ID), why),
					Advice: say.That("Drain %thing before step %step.", say.Name(x.ID), number(e)), See: append(see(drain, say.That("here")), registered(&x.Row)),
				})
			}
		})
	},
}

// opens reports whether the event opens the fluid's circuit. Taking out a plug in
// the step that drains the fluid is how it is drained.
func opens(f *Facts, e *state.Event, x *state.Fluid) bool {
	switch {
	case e.Connection != nil:
		return e.Connection.Fluid == x && e.Action.Verb == procedure.Disconnect
	case e.Fastener != nil && e.Action.Verb == procedure.Remove && slices.Contains(x.Plugs, e.Fastener):
		return !slices.ContainsFunc(f.Trace.Step(e.Step.Number-1), func(y state.Event) bool {
			return y.Fluid == x && y.Action.Verb == procedure.Drain
		})
	}
	return false
}
