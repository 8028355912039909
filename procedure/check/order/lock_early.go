package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var lockEarly = Check{
	Rule: diagnostic.Rule{
		Code: "lock-early", Severity: diagnostic.Error, Title: "Locked before it is tight",
		Wrong: "A tab is bent, a lock nut tightened or a lock pin fitted before the fastener that it locks is tight.",
		Why:   "The lock holds a loose nut. Everybody who sees the bent tab takes it for tight.",
		Do:    "Tighten the fastener first, then lock it.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if e.Fastener == nil || !locks(e.After, e.Fastener) || locks(e.Before, e.Fastener) {
				return
			}
			for _, n := range e.Fastener.Locked {
				if e.After.Fastener(n).Is == state.Tight {
					continue
				}
				tight := find(f, e.Index, func(x *state.Event) bool { return x.Fastener == n && x.Action.Verb == procedure.Tighten })
				report(diagnostic.Diagnostic{
					Span:   object(e),
					Wrong:  say.That("the %kind %fastener locks fastener %locked in step %step, but that is %state; %when", say.Word(e.Fastener.Kind), say.Name(e.Fastener.ID), say.Name(n.ID), number(e), say.Word(e.After.Fastener(n).Is.String()), when(e, tight, say.That("it is tightened only"), say.That("nothing tightens it"))),
					Advice: say.That("Tighten %locked first.", say.Name(n.ID)), See: see(tight, say.That("here")),
				})
			}
		})
	},
}
