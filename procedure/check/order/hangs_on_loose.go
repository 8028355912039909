package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var hangsOnLoose = Check{
	Rule: diagnostic.Rule{
		Code: "hangs-on-loose", Severity: diagnostic.Warning, Title: "Heavy part hangs on loose fasteners only",
		Wrong: "The last tight fastener of a heavy part is loosened, and no support carries the part.",
		Why:   "A loose bolt bends under the load, jams, and is hard to turn out. One turn too many and the part falls.",
		Do:    "Put the support on before the last fastener is loosened.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if e.Fastener == nil || e.Action.Verb != procedure.Loosen || !e.Fastener.Carries() {
				return
			}
			for _, p := range e.Fastener.Parts {
				if p.Base || e.After.Part(p).Is != state.InPlace || !e.After.Anchored(p) || len(e.After.Carriers(p)) > 0 {
					continue
				}
				g := e.After.Firm(p)
				if g.Anchored || !e.Before.Firm(p).Anchored || g.Kg <= handsKg(e.Step.People)+rounding {
					continue
				}
				hang := find(f, e.Index, func(x *state.Event) bool { return x.Part != nil && g.Has(x.Part) && x.Action.Verb == procedure.Hang })
				why := say.That("no support is put on")
				if hang != nil {
					why = say.That("%supports %supports(is|are) put on only in step %step", supports(hang.Supports), number(hang))
				}
				report(diagnostic.Diagnostic{
					Span:   object(e),
					Wrong:  say.That("%parts (%mass) %parts(hangs|hang) on loose fasteners only after step %step: %fastener is loosened here, and %why", parts(g.Parts), mass(g.Kg, stated(g.Parts)), number(e), say.Name(e.Fastener.ID), why),
					Advice: say.That("Put the support on before step %step, or loosen another fastener.", number(e)), See: see(hang, say.That("the support is put on here")),
				})
				return
			}
		})
	},
}
