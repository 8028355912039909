package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/state"
)

var leftOut = Check{
	Rule: diagnostic.Rule{
		Code: "left-out", Severity: diagnostic.Error, Title: "Part goes back without one of its fasteners",
		Wrong: "A part is taken off and fitted again, but a fastener or connection that came off for it stays off.",
		Why:   "One bolt in the bag at the end means one bolt missing in the machine.",
		Do:    "Fit the fastener, or join the connection, after the part.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		end := f.Trace.End()
		back := func(list []*state.Part) *state.Event {
			var fit *state.Event
			for _, p := range list {
				at := end.Part(p)
				if at.Is != state.InPlace {
					return nil
				}
				if e := f.Trace.Event(at.Last); e != nil && e.Action.Verb == procedure.Fit {
					fit = e
				}
			}
			return fit
		}
		for _, x := range f.Trace.Assembly.Fasteners {
			if fit := back(x.Parts); fit != nil && !end.Fastener(x).In() {
				out := f.Trace.Event(end.Fastener(x).Last)
				report(diagnostic.Diagnostic{
					Span: object(fit), Message: "the " + fit.Part.ID + " goes back in " + step(fit) + ", but fastener " + x.ID + ", which joins it, stays out",
					Do: "Fit and tighten " + x.ID + " after the " + fit.Part.ID + ".", See: see(out, "it came out here"),
				})
			}
		}
		for _, x := range f.Trace.Assembly.Connections {
			if fit := back(x.Parts); fit != nil && end.Connection(x).Apart {
				off := f.Trace.Event(end.Connection(x).Last)
				report(diagnostic.Diagnostic{
					Span: object(fit), Message: "the " + fit.Part.ID + " goes back in " + step(fit) + ", but the " + x.ID + ", which joins it, stays off",
					Do: "Connect the " + x.ID + " after the " + fit.Part.ID + ".", See: see(off, "it came off here"),
				})
			}
		}
	},
}
