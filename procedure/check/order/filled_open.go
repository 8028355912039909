package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var filledOpen = Check{
	Rule: diagnostic.Rule{
		Code: "filled-open", Severity: diagnostic.Error, Title: "Filled while the circuit is open",
		Wrong: "A fluid is filled in while a connection that carries it is apart, or a plug is not tight.",
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
			for _, p := range f.Trace.Plugs(e.Fluid) {
				if is := e.Before.Fastener(p).Is; is != state.Tight {
					open.Parts = append(open.Parts, say.That("plug %plug is %state", say.Name(p.ID), say.Word(is.String())))
					at = append(at, see(find(f, e.Index, func(x *state.Event) bool { return x.Fastener == p && x.Action.Verb == procedure.Tighten }), say.That("plug %part is tightened only here", say.Name(p.ID)))...)
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
