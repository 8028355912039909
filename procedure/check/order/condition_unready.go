package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
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
					Span: object(e), Message: e.Condition.ID + " is established in " + step(e) + " and needs " + n.ID + ", but " + why,
					Do: "Establish " + n.ID + " before " + step(e) + ".", See: append(see(at, "here"), registered(&e.Condition.Row)),
				})
			}
		})
	},
}
