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
		Wrong: "A condition is established while one that it needs does not hold.",
		Why:   "A circuit proved dead before it is isolated is dead by chance.",
		Do:    "Establish first what the condition needs.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if e.Condition == nil || e.Action.Verb != procedure.Establish {
				return
			}
			for _, n := range e.Condition.Requires {
				if e.Before.Condition(n).Holds() {
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
