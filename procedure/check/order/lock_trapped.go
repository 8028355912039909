package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/state"
)

var lockTrapped = Check{
	Rule: diagnostic.Rule{
		Code: "lock-trapped", Severity: diagnostic.Error, Title: "Tab washer out or in under its nut",
		Wrong: "A tab washer is taken out or fitted while the fastener that it locks is in.",
		Why:   "The washer lies under the nut: it cannot come off before it, nor go on after it.",
		Do:    "Flatten the tab (loosen), take the nut off, then the washer; fit them the other way round.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if e.Fastener == nil || e.Fastener.Kind != procedure.TabWasher {
				return
			}
			does, other, verb := "comes out", "it comes out only here", procedure.Remove
			switch {
			case e.Action.Verb == procedure.Remove:
			case e.Action.Verb == procedure.Fit && !e.Before.Fastener(e.Fastener).In():
				does, other, verb = "goes in", "it goes on here", procedure.Fit
			default:
				return
			}
			for _, n := range e.Fastener.Locked {
				if !e.Before.Fastener(n).In() {
					continue
				}
				at := find(f, e.Index, func(x *state.Event) bool { return x.Fastener == n && x.Action.Verb == verb })
				if verb == procedure.Fit {
					at = f.Trace.Event(e.Before.Fastener(n).Last)
				}
				report(diagnostic.Diagnostic{
					Span: object(e), Message: "tab washer " + e.Fastener.ID + " " + does + " in " + step(e) + " while fastener " + n.ID + " is on it",
					Do: "The washer comes out after " + n.ID + " and goes in before it. To flatten its tab, write loosen " + e.Fastener.ID + ".", See: see(at, other),
				})
			}
		})
	},
}
