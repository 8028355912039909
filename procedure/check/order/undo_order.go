package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var undoOrder = Check{
	Rule: diagnostic.Rule{
		Code: "undo-order", Severity: diagnostic.Error, Title: "Condition ends before one that needs it",
		Wrong: "A condition is undone while another one, which needs it, is still to be undone.",
		Why:   "What could be made only with the machine stopped is undone while it runs: it starts against shut valves.",
		Do:    "Undo first what needs the other, in the reverse of the order in which they can be made.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			c := e.Condition
			if c == nil || e.Action.Verb != procedure.Undo || filledNext(f, e) {
				return
			}
			for _, x := range c.RequiredBy {
				if x.Undo == "" || !c.Outlives(x) || !e.Before.Condition(x).Holds() {
					continue
				}
				later := find(f, e.Index, func(y *state.Event) bool { return y.Condition == x && y.Action.Verb == procedure.Undo })
				report(diagnostic.Diagnostic{
					Span: object(e), Wrong: say.That("%condition ends in step %step while %other, which needs it, still holds", say.Name(c.ID), number(e), say.Name(x.ID)),
					Advice: say.That("Undo %other before %condition.", say.Name(x.ID), say.Name(c.ID)), See: append(see(later, say.That("it is undone here")), registered(&x.Row)),
				})
			}
		})
	},
}

// filledNext reports whether a circuit is filled right after an event in its step: it is opened for that.
func filledNext(f *Facts, e *state.Event) bool {
	next := find(f, e.Index+1, func(*state.Event) bool { return true })
	return next != nil && next.Step == e.Step && next.Action.Verb == procedure.Fill
}
