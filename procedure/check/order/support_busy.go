package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/state"
)

var supportBusy = Check{
	Rule: diagnostic.Rule{
		Code: "support-busy", Severity: diagnostic.Error, Title: "Support is still on another part",
		Wrong: "A part is lifted, or hung on a support, while that support is still on a part that it does not move with.",
		Why:   "One hook cannot be in two places. Whoever unhooks it first decides what falls.",
		Do:    "Release the support from the other part first.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if e.Part == nil || e.Action.Verb != procedure.Lift && e.Action.Verb != procedure.Hang {
				return
			}
			group := e.Before.Group(e.Part)
			for _, x := range e.Supports {
				for _, q := range e.Before.CarriedBy(x) {
					// Two parts in place can share a support; a load that moves or hangs elsewhere cannot.
					if q == e.Part || group.Has(q) || e.Action.Verb == procedure.Hang && e.Before.Part(q).Is == state.InPlace {
						continue
					}
					put := puttingOn(f, e, q, x)
					report(diagnostic.Diagnostic{
						Span: object(e), Message: "the " + x.ID + " is still on the " + q.ID + " in " + step(e),
						Do: "Before " + step(e) + ", write: release " + q.ID + " from " + x.ID + ".", See: see(put, "it is put on here"),
					})
				}
			}
		})
	},
}

// puttingOn returns the last event before e that put the support on the part.
func puttingOn(f *Facts, e *state.Event, q *state.Part, x *state.Support) *state.Event {
	for i := e.Index - 1; i >= 0; i-- {
		y := &f.Trace.Events[i]
		if y.Part != q || y.Action.Verb != procedure.Hang {
			continue
		}
		for _, z := range y.Supports {
			if z == x {
				return y
			}
		}
	}
	return nil
}
