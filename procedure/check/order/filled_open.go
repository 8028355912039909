package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var filledOpen = Check{
	Rule: diagnostic.Rule{
		Code: "filled-open", Severity: diagnostic.Error, Title: "Filled while the circuit is open",
		Wrong: "A fluid is filled in while a connection that carries it is apart, or a plug, or a bolt or clamp that joins such a connection, is not tight.",
		Why:   "It runs straight out again.",
		Do:    "Close the circuit first.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if e.Fluid == nil || e.Action.Verb != procedure.Fill {
				return
			}
			open := say.List{Join: say.EachAnd}
			var at []diagnostic.Related
			for _, c := range e.Fluid.Connections {
				if e.Before.Connection(c).Apart {
					open.Parts = append(open.Parts, say.That("the %connection is apart", say.Name(c.ID)))
					at = append(at, see(find(f, e.Index, func(x *state.Event) bool { return x.Connection == c && x.Action.Verb == procedure.Connect }), say.That("the %condition is connected only here", say.Name(c.ID)))...)
				}
			}
			for _, p := range heldLoose(f, e) {
				open.Parts = append(open.Parts, say.That("fastener %fastener is %state", say.Name(p.ID), say.Word(e.Before.Fastener(p).Is.String())))
				at = append(at, see(tightened(f, e, p), say.That("fastener %fastener is tightened only here", say.Name(p.ID)))...)
			}
			for _, p := range f.Trace.Plugs(e.Fluid) {
				if is := e.Before.Fastener(p).Is; is != state.Tight {
					open.Parts = append(open.Parts, say.That("plug %plug is %state", say.Name(p.ID), say.Word(is.String())))
					at = append(at, see(tightened(f, e, p), say.That("plug %part is tightened only here", say.Name(p.ID)))...)
				}
			}
			if len(open.Parts) > 0 {
				report(diagnostic.Diagnostic{
					Span: object(e), Wrong: say.That("%fluid is filled in step %step while %open", say.Name(e.Fluid.ID), number(e), open),
					Advice: say.That("Close the circuit before step %step.", number(e)), See: at,
				})
			}
		})
	},
}

// tightened is the event after another one that tightens a fastener; nil for none.
func tightened(f *Facts, e *state.Event, x *state.Fastener) *state.Event {
	return find(f, e.Index, func(y *state.Event) bool { return y.Fastener == x && y.Action.Verb == procedure.Tighten })
}

// heldLoose are the fasteners that join what carries a fluid, and are tightened only after it is filled in.
func heldLoose(f *Facts, e *state.Event) (out []*state.Fastener) {
	for _, c := range e.Fluid.Connections {
		for _, x := range c.HeldBy {
			if !slices.Contains(out, x) && e.Before.Fastener(x).Is != state.Tight && tightened(f, e, x) != nil {
				out = append(out, x)
			}
		}
	}
	return out
}
