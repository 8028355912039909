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
		Wrong: "A condition is verified before it is established, after it was lost, or though nothing establishes it; or by itself, though its column proved-by names what alone proves it.",
		Why:   "The proof shows nothing: what it proves is made or undone by another step.",
		Do:    "Verify after the condition is established.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			c := e.Condition
			if c == nil || e.Action.Verb != procedure.Verify {
				return
			}
			if len(c.ProvedBy) > 0 {
				provedOnlyBy(e, report)
				return
			}
			if e.Before.Condition(c).Holds() {
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

// provedOnlyBy reports a proof of a condition that only another one proves.
func provedOnlyBy(e *state.Event, report func(diagnostic.Diagnostic)) {
	by := say.Name(e.Condition.ProvedBy[0].ID)
	report(diagnostic.Diagnostic{
		Span: object(e), Wrong: say.That("%condition is proved by itself in step %step, and only %by proves it", say.Name(e.Condition.ID), number(e), by),
		Advice: say.That("Write verify %by instead.", by), See: []diagnostic.Related{registered(&e.Condition.Row)},
	})
}
