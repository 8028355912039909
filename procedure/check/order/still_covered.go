package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/state"
)

var stillCovered = Check{
	Rule: diagnostic.Rule{
		Code: "still-covered", Severity: diagnostic.Error, Title: "Part leaves or goes back under a cover that is on",
		Wrong: "A part is taken off, or fitted, while a part that must be off before it is in place.",
		Why:   "The part does not come past its cover. Somebody will bend the cover to make it.",
		Do:    "Take the cover off first; fit it last.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			goesBack := e.Part != nil && e.Action.Verb == procedure.Fit && e.Before.Part(e.Part).Is != state.InPlace
			if !goesBack && !e.Departs() {
				return
			}
			at := e.Before
			if goesBack {
				at = e.After
			}
			on := at.Covering(e.Part)
			var places []diagnostic.Related
			for _, q := range on {
				if goesBack {
					places = append(places, see(f.Trace.Event(at.Part(q).Last), "the "+q.ID+" goes on here")...)
				} else {
					places = append(places, see(find(f, e.Index, func(x *state.Event) bool { return x.Part == q && x.Departs() }), "the "+q.ID+" leaves only here")...)
				}
			}
			if len(on) == 0 {
				return
			}
			does := "leaves"
			if goesBack {
				does = "is fitted"
			}
			report(diagnostic.Diagnostic{
				Span: object(e), Message: "the " + e.Part.ID + " " + does + " in " + step(e) + " while " + parts(on) + " " + is(on) + " in place over it",
				Do: "Take " + parts(on) + " off before.", See: append(places, registered(&e.Part.Row)),
			})
		})
	},
}
