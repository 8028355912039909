package order

import (
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
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
			var open []string
			var at []diagnostic.Related
			for _, c := range e.Fluid.Connections {
				if e.Before.Connection(c).Apart {
					open = append(open, "the "+c.ID+" is apart")
					at = append(at, see(find(f, e.Index, func(x *state.Event) bool { return x.Connection == c && x.Action.Verb == procedure.Connect }), "the "+c.ID+" is connected only here")...)
				}
			}
			for _, p := range f.Trace.Plugs(e.Fluid) {
				if is := e.Before.Fastener(p).Is; is != state.Tight {
					open = append(open, "plug "+p.ID+" is "+is.String())
					at = append(at, see(find(f, e.Index, func(x *state.Event) bool { return x.Fastener == p && x.Action.Verb == procedure.Tighten }), "plug "+p.ID+" is tightened only here")...)
				}
			}
			if len(open) > 0 {
				report(diagnostic.Diagnostic{
					Span: object(e), Message: e.Fluid.ID + " is filled in " + step(e) + " while " + strings.Join(open, " and "),
					Do: "Close the circuit before " + step(e) + ".", See: at,
				})
			}
		})
	},
}
