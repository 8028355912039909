package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var eyeMissing = Check{
	Rule: diagnostic.Rule{
		Code: "eye-missing", Severity: diagnostic.Error, Title: "Slung into an eye that is not there",
		Wrong: "A support takes weight, and an eye, a lug or a beam that it is hooked into, by its column into, is not on or not tight; or that comes out while the support has the weight.",
		Why:   "An eye bolt that is not screwed down to its collar bends or turns out, and the load falls.",
		Do:    "Fit and tighten it before the support takes weight, and take it off after the load is set down and the support is released.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		told := map[*procedure.Row]bool{}
		each(f, func(e *state.Event) {
			switch e.Action.Verb {
			case procedure.Hang, procedure.Lift:
				for _, x := range e.Supports {
					if e.Part != nil {
						hookedIn(f, e, x, told, report)
					}
				}
			case procedure.Remove, procedure.Loosen:
				takenOut(e, report)
			}
		})
	},
}

// hookedIn reports what a support is hooked into that is not on; each thing once.
func hookedIn(f *Facts, e *state.Event, x *state.Support, told map[*procedure.Row]bool, report func(diagnostic.Diagnostic)) {
	missing := func(row *procedure.Row, what, is say.Text, later *state.Event) {
		if told[row] {
			return
		}
		told[row] = true
		report(diagnostic.Diagnostic{
			Span: object(e), Wrong: say.That("the %support is hooked into %thing in step %step, and that %is: %when", say.Name(x.ID), what, number(e), is, when(e, later, say.That("it is put on only"), say.That("nothing puts it on"))),
			Advice: say.That("Put %thing on, and tighten it, before the %support takes weight.", say.Name(row.ID), say.Name(x.ID)), See: append(see(later, say.That("it is put on here")), registered(row), registered(&x.Row)),
		})
	}
	for _, eye := range x.Eyes {
		if is := e.Before.Fastener(eye).Is; is != state.Tight || e.Before.Fastener(eye).Gone > 0 {
			later := find(f, e.Index, func(y *state.Event) bool { return y.Fastener == eye && y.After.Fastener(eye).Is == state.Tight })
			missing(&eye.Row, say.That("fastener %number", say.Name(eye.ID)), say.That("is %state", say.Word(is.String())), later)
		}
	}
	for _, lug := range x.Lugs {
		if e.Before.Part(lug).Is == state.Off {
			later := find(f, e.Index, func(y *state.Event) bool { return y.Part == lug && y.Action.Verb == procedure.Fit })
			missing(&lug.Row, the(lug.ID), say.That("is off"), later)
		}
	}
}

// takenOut reports what comes out while a support that is hooked into it has weight. What is set down hangs slack.
func takenOut(e *state.Event, report func(diagnostic.Diagnostic)) {
	for _, x := range e.Before.Assembly.Supports {
		if !slices.Contains(x.Eyes, e.Fastener) && !slices.Contains(x.Lugs, e.Part) || !takesWeight(e.Before, x) {
			continue
		}
		report(diagnostic.Diagnostic{
			Span: object(e), Wrong: say.That("%thing comes out in step %step while the %support, which is hooked into it, has weight", name(e), number(e), say.Name(x.ID)),
			Advice: say.That("Set the load down and release the %support before.", say.Name(x.ID)), See: []diagnostic.Related{registered(&x.Row)},
		})
	}
}

// takesWeight reports whether a part that the support is on is not set down.
func takesWeight(s *state.State, x *state.Support) bool {
	return slices.ContainsFunc(s.CarriedBy(x), func(p *state.Part) bool { return s.Part(p).Is != state.Down })
}
