package order

import (
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/loads"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var hangsCrooked = Check{
	Rule: diagnostic.Rule{
		Code: "hangs-crooked", Severity: diagnostic.Warning, Title: "Load does not hang level",
		Wrong: "The hook is so far from over the centre of mass that the load tilts by more than 10°, or turns over. Where no heights are stated, more than 100 mm count. Both limits are our own choice.",
		Why:   "When the last fastener comes out, the load swings under the hook, with whatever is in the way.",
		Do:    "Hang the hook over the centre of mass, or use legs of other lengths.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			balanced(f, e, func(p *state.Part, before, after *loads.Balance) {
				if !after.Crooked() || before.Crooked() || after.Group.Kg < state.RestKg {
					return
				}
				off := say.That("the hook hangs %off beside its centre of mass", millimetres(after.Free.Off))
				switch {
				case after.Angled && !after.Free.Above:
					off = say.That("it turns over, since the hook is not above its centre of mass")
				case after.Angled:
					off = say.That("%off, and it tilts by %angle°", off, say.Decimal{Value: after.Free.Tilt, Places: 0})
				}
				report(diagnostic.Diagnostic{
					Span: object(e), Wrong: say.That("after step %step %parts %joined(hangs|hang) on %support alone: %off", number(e), parts(after.Group.Parts), count(after.Group.Parts), supports(after.Lines[0].Supports), off),
					Advice: say.That("Hang the hook over the centre of mass, or change the legs."),
				})
			})
		})
	},
}
