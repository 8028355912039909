package order

import (
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var faceMissing = Check{
	Rule: diagnostic.Rule{
		Code: "face-missing", Severity: diagnostic.Warning, Title: "Outward face not stated",
		Wrong: "A part does not say which way round it goes back, though its twin does.",
		Why:   "What can go wrong on the left can go wrong on the right. A part fitted inside out wears out in weeks.",
		Do:    "Fill in the face column of both twins.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		told := map[*state.Part]bool{}
		each(f, func(e *state.Event) {
			if !e.Leaves() || told[e.Part] || e.Part.Face != "" {
				return
			}
			told[e.Part] = true
			if twin := f.Trace.Assembly.Part(e.Part.Twin.ID); twin != nil && twin.Face != "" {
				report(diagnostic.Diagnostic{
					Span: e.Part.Row.Span, Wrong: say.That("the %twin says which way round it goes back (%face); its twin, the %part, does not", say.Name(twin.ID), say.Name(twin.Face), say.Name(e.Part.ID)),
					Advice: say.That("Fill in the face of the %part.", say.Name(e.Part.ID)), See: []diagnostic.Related{registered(&twin.Row)},
				})
			}
		})
	},
}
