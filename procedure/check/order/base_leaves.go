package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var baseLeaves = Check{
	Rule: diagnostic.Rule{
		Code: "base-leaves", Severity: diagnostic.Error, Title: "Base part taken off",
		Wrong: "A part that the register calls a base part is taken off.",
		Why:   "All other parts hang on base parts. If one can leave, the check of what hangs on what means nothing.",
		Do:    "Name the part that really leaves, or clear the base column of its row.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if e.Part == nil || !e.Part.Base || e.Action.Verb != procedure.Remove && e.Action.Verb != procedure.Lift {
				return
			}
			report(diagnostic.Diagnostic{
				Span: object(e), Wrong: say.That("the %part is a base part; it stays in the machine", say.Name(e.Part.ID)),
				Advice: say.That("Name the part that leaves, or clear the base column of its row."), See: []diagnostic.Related{registered(&e.Part.Row)},
			})
		})
	},
}
