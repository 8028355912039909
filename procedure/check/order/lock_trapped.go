package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
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
			does, other, verb := say.That("comes out"), say.That("it comes out only here"), procedure.Remove
			switch {
			case e.Action.Verb == procedure.Remove:
			case e.Action.Verb == procedure.Fit && !e.Before.Fastener(e.Fastener).In():
				does, other, verb = say.That("goes in"), say.That("it goes on here"), procedure.Fit
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
					Span: object(e), Wrong: say.That("tab washer %fastener %does in step %step while fastener %locked is on it", say.Name(e.Fastener.ID), does, number(e), say.Name(n.ID)),
					Advice: say.That("The washer comes out after %locked and goes in before it. To flatten its tab, write loosen %fastener.", say.Name(n.ID), say.Name(e.Fastener.ID)), See: see(at, other),
				})
			}
		})
	},
}
