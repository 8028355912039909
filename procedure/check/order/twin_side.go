package order

import (
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var twinSide = Check{
	Rule: diagnostic.Rule{
		Code: "twin-side", Severity: diagnostic.Warning, Title: "Twins that are not left and right of each other",
		Wrong: "A part names a twin, but the two do not name each other, or not one left and one right.",
		Why:   "The refitting steps call up left and right by this. A gap here swaps the parts there.",
		Do:    "Let both rows name each other, one with side left and one with side right.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		told := map[*state.Part]bool{}
		each(f, func(e *state.Event) {
			if !e.Leaves() || told[e.Part] {
				return
			}
			told[e.Part] = true
			twin := f.Trace.Assembly.Part(e.Part.Twin.ID)
			if twin == nil {
				return
			}
			d := diagnostic.Diagnostic{Span: e.Part.Row.Span, See: []diagnostic.Related{registered(&twin.Row)}}
			switch {
			case twin.Twin.ID != e.Part.ID:
				d.Wrong = say.That("the %part names the %twin as its twin, but not the other way round", say.Name(e.Part.ID), say.Name(twin.ID))
				d.Advice = say.That("Name the %part as twin in the row of the %twin.", say.Name(e.Part.ID), say.Name(twin.ID))
			case e.Part.Side == "" || e.Part.Side == twin.Side:
				d.Wrong = say.That("the twins %part and %twin are not one left and one right", say.Name(e.Part.ID), say.Name(twin.ID))
				d.Advice = say.That("Say side left in one row and side right in the other.")
			default:
				return
			}
			report(d)
		})
	},
}
