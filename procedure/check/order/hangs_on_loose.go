package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var hangsOnLoose = Check{
	Rule: diagnostic.Rule{
		Code: "hangs-on-loose", Severity: diagnostic.Warning, Title: "Heavy part hangs on loose fasteners only",
		Wrong: "The last tight fastener of a heavy part is loosened while no support carries the part, or its support comes away while what holds it is finger-tight.",
		Why:   "A loose bolt bends under the load, jams, and is hard to turn out. One turn too many and the part falls.",
		Do:    "Put the support on before the last fastener is loosened, and leave it on until one is tight.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			switch {
			case e.Fastener != nil && e.Action.Verb == procedure.Loosen && e.Fastener.Carries():
				loosenedLast(f, e, report)
			case e.Part != nil && e.Action.Verb == procedure.Release:
				letGoLoose(f, e, report)
			}
		})
	},
}

// loosenedLast reports what hangs on loose fasteners only once one is loosened.
func loosenedLast(f *Facts, e *state.Event, report func(diagnostic.Diagnostic)) {
	for _, p := range e.Fastener.Parts {
		g, loose := hangsLoose(e, p)
		if !loose || !e.Before.Firm(p).Anchored {
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
}

// letGoLoose reports what hangs on finger-tight fasteners only once its support is taken away.
func letGoLoose(f *Facts, e *state.Event, report func(diagnostic.Diagnostic)) {
	if len(e.Before.Carriers(e.Part)) == 0 {
		return
	}
	for _, p := range e.After.Group(e.Part).Parts {
		if g, loose := hangsLoose(e, p); loose && onFingerTight(e, g) {
			reportLetGo(f, e, g, report)
			return
		}
	}
}

// onFingerTight reports whether a fastener is in by hand that holds the parts on something else; a part may rest in its seat
// without any. One that by its row is tight only after others stays finger-tight until then: the author wants it so.
func onFingerTight(e *state.Event, g state.Group) bool {
	found := false
	for _, p := range g.Parts {
		for _, x := range p.Fasteners {
			if !x.Carries() || e.After.Fastener(x).Is != state.Loose {
				continue
			}
			if slices.ContainsFunc(x.First, func(y *state.Fastener) bool { return e.After.Fastener(y).Is != state.Tight }) {
				return false
			}
			found = true
		}
	}
	return found
}

func reportLetGo(f *Facts, e *state.Event, g state.Group, report func(diagnostic.Diagnostic)) {
	tight := find(f, e.Index, func(x *state.Event) bool {
		return x.Fastener != nil && x.Action.Verb == procedure.Tighten && x.Fastener.Carries() && slices.ContainsFunc(x.Fastener.Parts, g.Has)
	})
	report(diagnostic.Diagnostic{
		Span: object(e),
		Wrong: say.That("%parts (%mass) %parts(is|are) let go of in step %step, and what holds %parts(it|them) is finger-tight; %when", parts(g.Parts), mass(g.Kg, stated(g.Parts)), number(e),
			when(e, tight, say.That("it is tightened only"), say.That("nothing tightens it"))),
		Advice: say.That("Tighten the fasteners before the support comes away."), See: see(tight, say.That("here")),
	})
}

// hangsLoose reports whether a part, with what tight fasteners hold together with it, is in its place on loose fasteners alone
// after an event, and is heavier than those of the step can hold by hand.
func hangsLoose(e *state.Event, p *state.Part) (state.Group, bool) {
	if p.Base || e.After.Part(p).Is != state.InPlace || !e.After.Anchored(p) || len(e.After.Carriers(p)) > 0 {
		return state.Group{}, false
	}
	g := e.After.Firm(p)
	return g, !g.Anchored && g.Kg > handsKg(e.Step.People)+rounding
}
