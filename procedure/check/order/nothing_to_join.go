package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var nothingToJoin = Check{
	Rule: diagnostic.Rule{
		Code: "nothing-to-join", Severity: diagnostic.Error, Title: "Fitted before the part that it joins is there",
		Wrong: "A fastener is fitted, or a connection joined, while a part that it joins is not in its place.",
		Why:   "There is nothing to put the bolt through. It goes in anyway, and the part does not fit any more.",
		Do:    "Fit the part first.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			var joins []*state.Part
			switch {
			case e.Fastener != nil && e.Action.Verb == procedure.Fit && e.Fastener.Ties():
				joins = e.Fastener.Parts
			case e.Connection != nil && e.Action.Verb == procedure.Connect:
				joins = e.Connection.Parts
			}
			if len(joins) < 2 {
				return
			}
			var away []*state.Part
			for _, p := range joins {
				if e.Before.Part(p).Is != state.InPlace {
					away = append(away, p)
				}
			}
			// Parts that are away together can be joined on the bench.
			if len(away) == 0 || len(away) == len(joins) {
				return
			}
			var at []diagnostic.Related
			for _, p := range away {
				at = append(at, see(find(f, e.Index, func(x *state.Event) bool { return x.Part == p && x.Action.Verb == procedure.Fit }), say.That("the %part is fitted only here", say.Name(p.ID)))...)
			}
			report(diagnostic.Diagnostic{
				Span: object(e), Wrong: say.That("%thing joins %away, but %away %away(is|are) not in place in step %step", name(e), parts(away), number(e)),
				Advice: say.That("Fit %away before.", parts(away)), See: at,
			})
		})
	},
}
