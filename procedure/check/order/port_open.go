package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var portOpen = Check{
	Rule: diagnostic.Rule{
		Code: "port-open", Severity: diagnostic.Warning, Title: "Lift with an open drain port",
		Wrong: "A part is lifted while a plug of it is out.",
		Why:   "What is left inside runs over the floor of the zone and over whoever steers the load.",
		Do:    "Fit the plug again before the lift, if only by hand.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if !liftsOnHook(e) || !e.Leaves() {
				return
			}
			for _, x := range f.Trace.Assembly.Fasteners {
				at := e.Before.Fastener(x)
				if x.Kind != procedure.Plug || at.Is != state.Out || !slices.ContainsFunc(e.Moved, x.Joins) {
					continue
				}
				report(diagnostic.Diagnostic{
					Span: object(e), Wrong: say.That("the %part is lifted in step %step with its plug %fastener out: the port is open over the zone", say.Name(e.Part.ID), number(e), say.Name(x.ID)),
					Advice: say.That("Write fit %fastener before step %step.", say.Name(x.ID), number(e)), See: append(see(f.Trace.Event(at.Last), say.That("the plug comes out here")), registered(&x.Row)),
				})
			}
		})
	},
}
