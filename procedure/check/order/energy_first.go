package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/state"
)

var energyFirst = Check{
	Rule: diagnostic.Rule{
		Code: "energy-first", Severity: diagnostic.Error, Title: "Work before energy is kept away and proved",
		Wrong: "Work on the machine begins before a condition that keeps energy away is established and proved.",
		Why:   "The machine starts, or the circuit is live, with hands in it.",
		Do:    "Establish the condition and verify it before the first work on the machine.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		for _, c := range f.Trace.Assembly.Conditions {
			if !c.Energy {
				continue
			}
			told := false
			each(f, func(e *state.Event) {
				if e.Before.Proved(c) {
					told = false
					return
				}
				if told || !e.Works() {
					return
				}
				told = true
				why, at := whyNot(f, e, c)
				if e.Before.Condition(c).Holds() {
					proof := find(f, e.Index, func(x *state.Event) bool { return x.Condition == c && x.Action.Verb == procedure.Verify })
					why, at = when(e, proof, "it is established, but proved only", "it is established, but never proved"), proof
				}
				report(diagnostic.Diagnostic{
					Span: object(e), Message: step(e) + " works on " + name(e) + " before " + c.ID + " holds and is proved: " + why,
					Do: "Write establish " + c.ID + " and verify " + c.ID + " in steps before " + step(e) + ".", See: append(see(at, "here"), registered(&c.Row)),
				})
			})
		}
	},
}

// whyNot says why a condition does not hold before an event, and where that comes from or is put right.
func whyNot(f *Facts, e *state.Event, c *state.Condition) (string, *state.Event) {
	at := e.Before.Condition(c)
	from := f.Trace.Event(at.Last)
	switch {
	case at.Is == state.Lost:
		return "it is lost in " + step(from) + ", when " + done(from), from
	case at.Is == state.Open && from != nil:
		return "it is undone in " + step(from), from
	}
	later := find(f, e.Index, func(x *state.Event) bool {
		return x.Condition == c && x.After.Condition(c).Holds() && !x.Before.Condition(c).Holds()
	})
	return when(e, later, "it is established only", "nothing establishes it"), later
}

// done says in the past what an event does to a thing.
func done(e *state.Event) string {
	verbs := map[procedure.Verb]string{
		procedure.Fit: "fitted", procedure.Connect: "connected", procedure.Fill: "filled", procedure.Establish: "established", procedure.Undo: "undone",
	}
	return "the " + e.Action.Object.ID + " is " + verbs[e.Action.Verb]
}
