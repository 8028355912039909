package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var tightEarly = Check{
	Rule: diagnostic.Rule{
		Code: "tight-early", Severity: diagnostic.Error, Title: "Tightened too early",
		Wrong: "A fastener is tightened before one that its row names under `tight-after`.",
		Why:   "What is tight first decides where the part stands. The last bolt, tight too early, holds it askew, and the feet bend.",
		Do:    "Tighten in the order that the rows state, or correct the row.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			x := e.Fastener
			if x == nil || e.Action.Verb != procedure.Tighten || e.Before.Fastener(x).Is != state.Loose {
				return
			}
			for _, g := range x.First {
				if at := e.After.Fastener(g); at.Is == state.Tight || at.Is == state.Out && comesIn(f, e, g) == nil {
					continue // one that stays out for good is another rule's business
				}
				tight := find(f, e.Index, func(y *state.Event) bool { return y.Fastener == g && y.Action.Verb == procedure.Tighten })
				report(diagnostic.Diagnostic{
					Span:   object(e),
					Wrong:  say.That("fastener %fastener is tightened in step %step, and its row asks for %first to be tight before; %when", say.Name(x.ID), number(e), say.Name(g.ID), when(e, tight, say.That("that is tightened only"), say.That("nothing tightens that"))),
					Advice: say.That("Tighten %first first.", say.Name(g.ID)), See: append(see(tight, say.That("here")), registered(&x.Row)),
				})
			}
		})
	},
}

// comesIn returns the event that fits a fastener, or more of its pieces, after another event; nil when none does.
func comesIn(f *Facts, after *state.Event, g *state.Fastener) *state.Event {
	return find(f, after.Index+1, func(y *state.Event) bool { return y.Fastener == g && y.Action.Verb == procedure.Fit })
}
