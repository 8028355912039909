package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var leftUnheld = Check{
	Rule: diagnostic.Rule{
		Code: "left-unheld", Severity: diagnostic.Error, Title: "Part left without its fasteners",
		Wrong: "At the end of the job a part is in place with nothing that holds it.",
		Why:   "It falls on the next person who leans on the machine.",
		Do:    "Take the part off, or leave a fastener in.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		end := f.Trace.End()
		seen := map[*state.Part]bool{}
		for _, p := range f.Trace.Assembly.Parts {
			if seen[p] || p.Base || end.Part(p).Is != state.InPlace {
				continue
			}
			g := end.Group(p)
			for _, q := range g.Parts {
				seen[q] = true
			}
			if g.Held() {
				continue
			}
			var taken *state.Event
			back := false
			for _, q := range g.Parts {
				// A part that was fitted again lacks fasteners: the rule left-out says so.
				fit := f.Trace.Event(end.Part(q).Last)
				back = back || fit != nil && fit.Action.Verb == procedure.Fit
				for _, x := range q.Fasteners {
					if e := f.Trace.Event(end.Fastener(x).Last); e != nil && e.Action.Verb == procedure.Remove && (taken == nil || e.Index > taken.Index) {
						taken = e
					}
				}
			}
			if taken == nil || back {
				continue // a group that was so from the start is no fault of this job
			}
			report(diagnostic.Diagnostic{
				Span: object(taken), Wrong: say.That("%parts %parts(is|are) left in place with nothing to hold: the last fastener comes out in step %step", parts(g.Parts), number(taken)),
				Advice: say.That("Take %parts off, or leave a fastener in.", parts(g.Parts)),
			})
		}
	},
}
