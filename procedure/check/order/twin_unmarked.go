package order

import (
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var twinUnmarked = Check{
	Rule: diagnostic.Rule{
		Code: "twin-unmarked", Severity: diagnostic.Warning, Title: "Twins come off without marks",
		Wrong: "Two parts that look alike both come off, and one of them carries no mark.",
		Why:   "On the bench left and right look the same. Swapped, they fit and then fail.",
		Do:    "Give both a mark, in the register and by an action, before they come off.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if !e.Leaves() || e.Part.Mark != "" || e.Before.Part(e.Part).Marked {
				return
			}
			twin := f.Trace.Assembly.Part(e.Part.Twin.ID)
			if twin == nil || twin == e.Part {
				return
			}
			if other := find(f, 0, func(x *state.Event) bool { return x.Part == twin && x.Leaves() }); other != nil {
				report(diagnostic.Diagnostic{
					Span: object(e), Wrong: say.That("the %part and the %twin look alike and both come off, and the %part carries no mark", say.Name(e.Part.ID), say.Name(twin.ID)),
					Advice: say.That("Write mark %part before step %step, and say in its row what the mark is.", say.Name(e.Part.ID), number(e)), See: append(see(other, say.That("its twin comes off here")), registered(&e.Part.Row)),
				})
			}
		})
	},
}
