package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var massUnknown = Check{
	Rule: diagnostic.Rule{
		Code: "mass-unknown", Severity: diagnostic.Warning, Title: "Lifted part without a mass",
		Wrong: "A part is supported, lifted or held by hand with others, alone or on another part, and its row states no mass.",
		Why:   "Nobody can choose a hoist for a load of unknown mass, nor can it be checked whether the part may hang by hand.",
		Do:    "Weigh the part, or take its mass from the maker's data, and state it.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		told := map[*state.Part]bool{}
		each(f, func(e *state.Event) {
			for _, p := range borneBy(e) {
				if told[p] || p.Base || !p.Mass.IsZero() {
					continue
				}
				told[p] = true
				report(diagnostic.Diagnostic{
					Span: p.Row.Span, Wrong: say.That("the %part is hung on a support, but its mass is not stated", say.Name(p.ID)),
					Advice: say.That("State its mass."), See: see(e, say.That("it is hung here")),
				})
			}
			for _, p := range letGo(e) {
				g := e.After.Group(p)
				if !falls(e.Before, e.After, p) || g.Kg == 0 || g.Kg > handsKg(e.Step.People)+rounding {
					continue
				}
				for _, q := range g.Parts {
					if told[q] || !q.Mass.IsZero() {
						continue
					}
					told[q] = true
					report(diagnostic.Diagnostic{
						Span: q.Row.Span, Wrong: say.That("%parts hang on nothing after step %step, and the mass of the %part is not stated: whether people can hold them is not known", parts(g.Parts), number(e), say.Name(q.ID)),
						Advice: say.That("State its mass."), See: see(e, say.That("they are let go here")),
					})
				}
			}
		})
	},
}

// borneBy returns the parts whose weight comes on to supports with an event: the one that is
// hung, what a lift takes along, and all that hangs together once its last fastener to the machine is out.
func borneBy(e *state.Event) []*state.Part {
	switch {
	case e.Part != nil && e.Action.Verb == procedure.Lift:
		return append([]*state.Part{e.Part}, e.Moved...)
	case e.Part != nil && e.Action.Verb == procedure.Hang:
		return []*state.Part{e.Part}
	case e.Fastener != nil && e.Action.Verb == procedure.Remove:
		var out []*state.Part
		for _, p := range e.Fastener.Parts {
			if g := e.After.Group(p); !g.Anchored && len(g.Carriers) > 0 {
				out = append(out, g.Parts...)
			}
		}
		return out
	}
	return nil
}
