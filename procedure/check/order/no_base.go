package order

import (
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var noBase = Check{
	Rule: diagnostic.Rule{
		Code: "no-base", Severity: diagnostic.Warning, Title: "Nothing says what a part hangs on",
		Wrong: "A part with fasteners is taken off, and no chain of fasteners leads from it to a base part.",
		Why:   "The check of what hangs on what has nothing to start from, and stays silent.",
		Do:    "Mark the frame or housing as base, and let the joins column of the fasteners lead to it.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		told := map[*state.Part]bool{}
		each(f, func(e *state.Event) {
			if !e.Leaves() || told[e.Part] || e.Part.Rooted || e.Part.Seated {
				return
			}
			told[e.Part] = true
			report(diagnostic.Diagnostic{
				Span: e.Part.Row.Span, Wrong: say.That("no fastener leads from the %part to a base part, so nothing says what it hangs on", say.Name(e.Part.ID)),
				Advice: say.That("Mark the part that stays as base, and name it in the joins column."), See: see(e, say.That("it is taken off here")),
			})
		})
	},
}
