package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var provedFirst = Check{
	Rule: diagnostic.Rule{
		Code: "proved-first", Severity: diagnostic.Error, Title: "Proved before it is established",
		Wrong: "A condition is verified before it is established, after it was lost, or though nothing establishes it.",
		Why:   "The proof shows nothing: what it proves is made or undone by another step.",
		Do:    "Verify after the condition is established.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			c := e.Condition
			if c == nil || e.Action.Verb != procedure.Verify || e.Before.Condition(c).Holds() {
				return
			}
			why, at := whyNot(f, e, c)
			report(diagnostic.Diagnostic{
				Span: object(e), Wrong: say.That("%condition is proved in step %step, but %why", say.Name(c.ID), number(e), why),
				Advice: say.That("Move the proof behind what establishes %condition.", say.Name(c.ID)), See: see(at, say.That("here")),
			})
		})
	},
}
