package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var supportBusy = Check{
	Rule: diagnostic.Rule{
		Code: "support-busy", Severity: diagnostic.Error, Title: "Support is still on another part",
		Wrong: "A part is moved while its support is still on a part that stays, or while a part that moves along hangs on a support that does not.",
		Why:   "One hook cannot be in two places. Whoever unhooks it first decides what falls.",
		Do:    "Release the support from the other part first, or undo what joins the two parts.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if e.Part == nil {
				return
			}
			if e.Departs() {
				dragged(f, e, report)
			}
			if e.Action.Verb != procedure.Lift && e.Action.Verb != procedure.Hang {
				return
			}
			group := e.Before.Group(e.Part)
			for _, x := range e.Supports {
				for _, q := range e.Before.CarriedBy(x) {
					// Parts in place can share a support, as can parts that are lifted together.
					shared := group.Has(q)
					if e.Action.Verb == procedure.Hang {
						shared = e.Before.Part(q).Is == state.InPlace
					}
					if q == e.Part || shared {
						continue
					}
					put := puttingOn(f, e, q, x)
					report(diagnostic.Diagnostic{
						Span: object(e), Wrong: say.That("the %thing is still on the %other in step %step", say.Name(x.ID), say.Name(q.ID), number(e)),
						Advice: say.That("Before step %step, write: release %other from %thing.", number(e), say.Name(q.ID), say.Name(x.ID)), See: see(put, say.That("it is put on here")),
					})
				}
			}
		})
	},
}

// dragged reports supports on parts that the event takes along, which it does not name.
func dragged(f *Facts, e *state.Event, report func(diagnostic.Diagnostic)) {
	own := append(slices.Clone(e.Before.Part(e.Part).Carriers), e.Supports...)
	for _, q := range e.Moved {
		for _, x := range e.Before.Part(q).Carriers {
			if q == e.Part || slices.Contains(own, x) {
				continue
			}
			report(diagnostic.Diagnostic{
				Span:   object(e),
				Wrong:  say.That("the %other is still fastened to the %part in step %step and moves along, but it hangs on the %thing", say.Name(q.ID), say.Name(e.Part.ID), number(e), say.Name(x.ID)),
				Advice: say.That("Undo what joins the two parts, or lift with the %thing as well.", say.Name(x.ID)), See: see(puttingOn(f, e, q, x), say.That("it is put on here")),
			})
		}
	}
}

// puttingOn returns the last event before e that put the support on the part.
func puttingOn(f *Facts, e *state.Event, q *state.Part, x *state.Support) *state.Event {
	for i := e.Index - 1; i >= 0; i-- {
		y := &f.Trace.Events[i]
		if y.Part != q || y.Action.Verb != procedure.Hang {
			continue
		}
		if slices.Contains(y.Supports, x) {
			return y
		}
	}
	return nil
}
