package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var markMissing = Check{
	Rule: diagnostic.Rule{
		Code: "mark-missing", Severity: diagnostic.Error, Title: "Comes apart without its mark",
		Wrong: "A part or connection that needs a mark comes off before it is marked.",
		Why:   "How it sat can be seen only as long as it sits.",
		Do:    "Mark it in a step before it comes off.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			mark, row := "", (*procedure.Row)(nil)
			switch {
			case e.Leaves() && !e.Before.Part(e.Part).Marked:
				mark, row = e.Part.Mark, &e.Part.Row
			case e.Connection != nil && e.Action.Verb == procedure.Disconnect && !e.Before.Connection(e.Connection).Marked:
				mark, row = e.Connection.Mark, &e.Connection.Row
			}
			if mark == "" {
				return
			}
			marked := find(f, e.Index, func(x *state.Event) bool {
				return x.Action.Verb == procedure.Mark && x.Action.Object.ID == e.Action.Object.ID
			})
			report(diagnostic.Diagnostic{
				Span: object(e), Wrong: say.That("the %object comes off in step %step without its mark (%mark); %when", say.Name(e.Action.Object.ID), number(e), say.Name(mark), when(e, marked, say.That("it is marked only"), say.That("nothing marks it"))),
				Advice: say.That("Write mark %object before step %step.", say.Name(e.Action.Object.ID), number(e)), See: append(see(marked, say.That("here")), registered(row)),
			})
		})
	},
}
