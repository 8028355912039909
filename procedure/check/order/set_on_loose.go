package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var setOnLoose = Check{
	Rule: diagnostic.Rule{
		Code: "set-on-loose", Severity: diagnostic.Warning, Title: "Belt or chain set while its machine is loose",
		Wrong: "The slack of a belt or a chain is taken up by its own adjuster while a part that it drives is held by finger-tight fasteners.",
		Why:   "The part moves once more when its own bolts are tightened, and the sag is another one then.",
		Do:    "Tighten the part first, then set the belt or the chain.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			c := e.Condition
			if c == nil || e.Action.Verb != procedure.Undo || !e.Before.Condition(c).Holds() || e.After.Condition(c).Holds() {
				return
			}
			for _, x := range f.Trace.Assembly.Connections {
				if !drives(x) || !slices.Contains(x.Conditions, c) || e.Before.Connection(x).Apart {
					continue
				}
				if g := fingerTight(f, e, x); g != nil {
					tight := find(f, e.Index, func(y *state.Event) bool { return y.Fastener == g && y.Action.Verb == procedure.Tighten })
					report(diagnostic.Diagnostic{
						Span: object(e), Wrong: say.That("the %connection is set in step %step while fastener %fastener is finger-tight; %when", say.Name(x.ID), number(e), say.Name(g.ID),
							when(e, tight, say.That("it is tightened only"), say.That("nothing tightens it"))),
						Advice: say.That("Tighten %fastener before the %connection is set.", say.Name(g.ID), say.Name(x.ID)), See: see(tight, say.That("here")),
					})
				}
			}
		})
	},
}

// fingerTight is a fastener of a part that the belt or chain drives which was put in by hand and is no adjuster, while another one
// is: bolts in slots that are the only way to set a belt have to be loose.
func fingerTight(f *Facts, e *state.Event, x *state.Connection) *state.Fastener {
	adjusters := adjusters(f, e.Condition)
	for _, p := range x.Parts {
		for _, g := range p.Fasteners {
			if len(adjusters) > 0 && g.Carries() && !slices.Contains(adjusters, g) && e.Before.Fastener(g).Is == state.Loose {
				if in := f.Trace.Event(e.Before.Fastener(g).Last); in != nil && in.Action.Verb == procedure.Fit {
					return g
				}
			}
		}
	}
	return nil
}

// adjusters are the fasteners that a removal loosens in the step that makes the slack.
func adjusters(f *Facts, c *state.Condition) (out []*state.Fastener) {
	trace := f.Trace
	if f.Out != nil {
		trace = f.Out
	}
	for i := range trace.Job.Steps {
		events := trace.Step(i)
		if !slices.ContainsFunc(events, func(y state.Event) bool { return y.Condition == c && y.Action.Verb == procedure.Establish }) {
			continue
		}
		for _, y := range events {
			if y.Fastener != nil && y.Action.Verb == procedure.Loosen {
				out = append(out, y.Fastener)
			}
		}
	}
	return out
}
