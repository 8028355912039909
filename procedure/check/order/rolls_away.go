package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var rollsAway = Check{
	Rule: diagnostic.Rule{
		Code: "rolls-away", Severity: diagnostic.Warning, Title: "Nothing keeps a round part from rolling",
		Wrong: "A part that its row calls round is set down, and neither chocks nor a cradle nor a tray are named.",
		Why:   "It rolls on the first uneven spot, over a foot or off the bench.",
		Do:    "Name the chocks, or the cradle or tray that it lies in.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if e.Part == nil || e.Action.Verb != procedure.SetDown || !e.Part.Round || len(e.Supports) == 0 ||
				slices.ContainsFunc(e.Supports, func(x *state.Support) bool { return x.Kind == "" || x.Ability().Rolling }) {
				return
			}
			report(diagnostic.Diagnostic{
				Span: object(e), Wrong: say.That("the %part is round, and on %supports nothing keeps it from rolling", say.Name(e.Part.ID), supports(e.Supports)),
				Advice: say.That("Name chocks, a cradle or a tray: set down %part on pallet, chocks.", say.Name(e.Part.ID)), See: []diagnostic.Related{registered(&e.Part.Row)},
			})
		})
	},
}
