package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/state"
)

var massUnknown = Check{
	Rule: diagnostic.Rule{
		Code: "mass-unknown", Severity: diagnostic.Warning, Title: "Lifted part without a mass",
		Wrong: "A part is supported or lifted, and its row states no mass.",
		Why:   "Nobody can choose a hoist for a load of unknown mass, nor can it be checked whether the part may hang by hand.",
		Do:    "Weigh the part, or take its mass from the maker's data, and state it.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		told := map[*state.Part]bool{}
		each(f, func(e *state.Event) {
			if e.Part == nil || told[e.Part] || !e.Part.Mass.IsZero() || e.Action.Verb != procedure.Hang && e.Action.Verb != procedure.Lift {
				return
			}
			told[e.Part] = true
			report(diagnostic.Diagnostic{
				Span: e.Part.Row.Span, Message: "the " + e.Part.ID + " is hung on a support, but its mass is not stated",
				Do: "State its mass.", See: see(e, "it is hung here"),
			})
		})
	},
}
