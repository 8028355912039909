package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
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
					places = append(places, see(f.Trace.Event(at.Part(q).Last), say.That("the %other goes on here", say.Name(q.ID)))...)
				} else {
					places = append(places, see(find(f, e.Index, func(x *state.Event) bool { return x.Part == q && x.Departs() }), say.That("the %other leaves only here", say.Name(q.ID)))...)
				}
			}
			if len(on) == 0 {
				return
			}
			does := say.That("leaves")
			if goesBack {
				does = say.That("is fitted")
			}
			report(diagnostic.Diagnostic{
				Span: object(e), Wrong: say.That("the %part %does in step %step while %on %on(is|are) in place over it", say.Name(e.Part.ID), does, number(e), parts(on)),
				Advice: say.That("Take %on off before.", parts(on)), See: append(places, registered(&e.Part.Row)),
			})
		})
	},
}
