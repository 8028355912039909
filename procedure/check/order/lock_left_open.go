package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

var lockLeftOpen = Check{
	Rule: diagnostic.Rule{
		Code: "lock-left-open", Severity: diagnostic.Error, Title: "Tight again but not locked",
		Wrong: "A fastener is tightened in the job, and its lock stays undone at the end.",
		Why:   "The nut was locked for a reason: without its lock it walks off.",
		Do:    "Bend the tab, tighten the lock nut or fit the pin after the fastener is tight.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		end := f.Trace.End()
		for _, n := range f.Trace.Assembly.Fasteners {
			tight := f.Trace.Event(end.Fastener(n).Last)
			if tight == nil || tight.Action.Verb != procedure.Tighten {
				continue
			}
			for _, l := range n.Lockers {
				if locks(end, l) {
					continue
				}
				report(diagnostic.Diagnostic{
					Span: object(tight), Wrong: say.That("fastener %locked is tight after step %step, but the %kind %lock, which locks it, stays %state", say.Name(n.ID), number(tight), say.Word(l.Kind), say.Name(l.ID), say.Word(end.Fastener(l).Is.String())),
					Advice: say.That("Lock it after it is tight."), See: append(see(f.Trace.Event(end.Fastener(l).Last), say.That("the lock is undone here")), registered(&l.Row)),
				})
			}
		}
	},
}
