package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
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
			if fit := back(x.Parts); fit != nil && end.Fastener(x).Gone > 0 && !x.Brought {
				out := f.Trace.Event(end.Fastener(x).Last)
				report(diagnostic.Diagnostic{
					Span: object(fit), Wrong: say.That("the %part goes back in step %step, but fastener %thing, which joins it, stays out", say.Name(fit.Part.ID), number(fit), say.Name(x.ID)),
					Advice: say.That("Fit and tighten %thing after the %part.", say.Name(x.ID), say.Name(fit.Part.ID)), See: see(out, say.That("it came out here")),
				})
			}
		}
		for _, x := range f.Trace.Assembly.Fasteners {
			for _, c := range x.Holds {
				made := f.Trace.Event(end.Connection(c).Last)
				if made == nil || made.Action.Verb != procedure.Connect || end.Fastener(x).Gone == 0 {
					continue
				}
				report(diagnostic.Diagnostic{
					Span: object(made), Wrong: say.That("the %connection is connected in step %step, but fastener %thing, which joins it, stays out", say.Name(c.ID), number(made), say.Name(x.ID)),
					Advice: say.That("Fit and tighten %thing with it.", say.Name(x.ID)), See: see(f.Trace.Event(end.Fastener(x).Last), say.That("it came out here")),
				})
			}
		}
		for _, x := range f.Trace.Assembly.Connections {
			if fit := back(x.Parts); fit != nil && end.Connection(x).Apart {
				off := f.Trace.Event(end.Connection(x).Last)
				report(diagnostic.Diagnostic{
					Span: object(fit), Wrong: say.That("the %part goes back in step %step, but the %thing, which joins it, stays off", say.Name(fit.Part.ID), number(fit), say.Name(x.ID)),
					Advice: say.That("Connect the %thing after the %part.", say.Name(x.ID), say.Name(fit.Part.ID)), See: see(off, say.That("it came off here")),
				})
			}
		}
	},
}
