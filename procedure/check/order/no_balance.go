package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/loads"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
	"matchmark/procedure/statics"
)

var noBalance = Check{
	Rule: diagnostic.Rule{
		Code: "no-balance", Severity: diagnostic.Error, Title: "Heavy part tips, swings or drops",
		Wrong: "Places are stated, and what still holds a heavy part cannot balance it: its centre of mass lies outside, or a joint that is left lets it turn.",
		Why:   "Something does hold the part, but not there. It turns about that, and whoever stands beside it is hit.",
		Do:    "Put a support where the centre of mass is, or beyond it, before the last thing that balanced the part comes away.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			balanced(f, e, func(p *state.Part, before, after *loads.Balance) {
				switch {
				case after.Fall == nil, !after.Group.Held(), after.Group.Kg <= handsKg(e.Step.People)+rounding,
					before.Fall != nil && slices.Equal(before.Group.Parts, after.Group.Parts):
					return
				}
				report(falling(f, e, after))
			})
		})
	},
}

func falling(f *Facts, e *state.Event, b *loads.Balance) diagnostic.Diagnostic {
	comes, kg := b.Falling, 0.0
	for _, p := range comes {
		kg += p.Kg
	}
	who := say.That("%parts (%mass)", parts(comes), mass(kg, stated(comes)))
	d := diagnostic.Diagnostic{Span: object(e)}
	outside := say.That("the centre of mass is at %place", where(b))
	if b.Fall.Outside > 0 {
		outside = say.That("the centre of mass, at %place, lies %far outside what holds it", where(b), millimetres(b.Fall.Outside))
	}
	support := say.That("Before step %step, put a support on at %place or beyond, on the side to which it goes down", number(e), where(b))
	switch b.Fall.How {
	case statics.Tips:
		d.Wrong = say.That("after step %step %parts %joined(tips|tip) over %about: %outside", number(e), who, count(comes), holds(b.About), outside)
	case statics.Swings:
		d.Wrong = say.That("after step %step %parts %joined(swings|swing) on %about: %outside", number(e), who, count(comes), holds(b.About), outside)
		support = say.That("Hang the hook over %place, or put a second one on before step %step", where(b), number(e))
	case statics.Slides:
		d.Wrong = say.That("after step %step %parts %joined(slides|slide) off %about: %outside", number(e), who, count(comes), holds(b.About), outside)
	default:
		d.Wrong = say.That("after step %step nothing holds %parts up: %outside", number(e), who, outside)
	}
	d.Advice = say.That("%support.", support)
	if e.Fastener != nil || e.Connection != nil {
		d.Advice = say.That("%support, or keep %thing in until one is on.", support, thing(e))
	}
	for _, h := range b.About {
		if h.Line == nil {
			continue
		}
		on := find(f, 0, func(x *state.Event) bool {
			return x.Part == h.Line.Part && x.Action.Verb == procedure.Hang && slices.Contains(x.Supports, h.Line.Supports[0])
		})
		d.See = append(d.See, see(on, say.That("it turns about the support that is put on here"))...)
	}
	return d
}

// count has the number of some parts, for the word that agrees with it.
func count(list []*state.Part) say.Count { return say.Count(len(list)) }

// thing names what an event is done to, with its article.
func thing(e *state.Event) say.Text {
	if e.Fastener != nil {
		return say.That("fastener %number", say.Name(e.Fastener.ID))
	}
	return the(e.Connection.ID)
}
