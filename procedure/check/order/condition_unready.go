package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var conditionUnready = Check{
	Rule: diagnostic.Rule{
		Code: "condition-unready", Severity: diagnostic.Error, Title: "Condition established before what it needs",
		Wrong: "A condition is established while one that it needs does not hold, or keeps energy away and is proved only later.",
		Why:   "A circuit proved dead before it is isolated is dead by chance.",
		Do:    "Establish first what the condition needs, and verify it before, where it is verified at all.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if e.Condition == nil || e.Action.Verb != procedure.Establish {
				return
			}
			for _, n := range e.Condition.Requires {
				if e.Before.Condition(n).Holds() {
					provedLate(f, e, n, report)
					continue
				}
				why, at := whyNot(f, e, n)
				report(diagnostic.Diagnostic{
					Span: object(e), Wrong: say.That("%condition is established in step %step and needs %locked, but %why", say.Name(e.Condition.ID), number(e), say.Name(n.ID), why),
					Advice: say.That("Establish %locked before step %step.", say.Name(n.ID), number(e)), See: append(see(at, say.That("here")), registered(&e.Condition.Row)),
				})
			}
		})
	},
}

// provedLate reports a condition that is established on one that keeps energy away and is itself verified only after that. One
// that another condition proves, or that nothing verifies, is proved in no other order.
func provedLate(f *Facts, e *state.Event, n *state.Condition, report func(diagnostic.Diagnostic)) {
	if !n.Energy || e.Before.Proved(n) {
		return
	}
	next := find(f, e.Index, func(x *state.Event) bool { return x.Proves(n) || !x.After.Condition(n).Holds() })
	if next == nil || next.Condition != n || next.Action.Verb != procedure.Verify {
		return
	}
	report(diagnostic.Diagnostic{
		Span: object(e), Wrong: say.That("%condition is established in step %step and needs %locked, which %when", say.Name(e.Condition.ID), number(e), say.Name(n.ID), when(e, next, say.That("is proved only"), say.That("is never proved"))),
		Advice: say.That("Write verify %locked before establish %condition.", say.Name(n.ID), say.Name(e.Condition.ID)), See: append(see(next, say.That("here")), registered(&e.Condition.Row)),
	})
}
