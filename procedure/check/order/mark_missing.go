package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
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
				Span: object(e), Message: "the " + e.Action.Object.ID + " comes off in " + step(e) + " without its mark (" + mark + "); " + when(e, marked, "it is marked only", "nothing marks it"),
				Do: "Write mark " + e.Action.Object.ID + " before " + step(e) + ".", See: append(see(marked, "here"), registered(row)),
			})
		})
	},
}
