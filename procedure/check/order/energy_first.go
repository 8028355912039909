package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
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
				if told || !e.Works() || !reached(e, c) || isolates(f, e, c) || fillsByOpening(f, e, c) {
					return
				}
				told = true
				why, at := whyNot(f, e, c)
				var begins []diagnostic.Related
				if e.Before.Condition(c).Holds() {
					if f.Out != nil {
						begins = []diagnostic.Related{{Span: f.Job.Steps[0].Span, Says: say.That("the refitting begins here, after a stop")}}
					}
					proof := find(f, e.Index, func(x *state.Event) bool { return x.Proves(c) })
					why, at = when(e, proof, say.That("it is established, but proved only"), say.That("it is established, but never proved")), proof
				}
				report(diagnostic.Diagnostic{
					Span: object(e), Wrong: say.That("step %step works on %thing before %condition holds and is proved: %why", number(e), name(e), say.Name(c.ID), why),
					Advice: say.That("Write establish %condition and verify %condition in steps before step %step.", say.Name(c.ID), number(e)), See: append(append(see(at, say.That("here")), begins...), registered(&c.Row)),
				})
			})
		}
	},
}

// reached reports whether what a condition keeps away can hurt somebody at what an event is done to.
func reached(e *state.Event, c *state.Condition) bool {
	if c.Reaches == nil {
		return true
	}
	if refersTo(c.Reaches, e.Action.Object.ID) {
		return true
	}
	var parts []*state.Part
	switch {
	case e.Fastener != nil:
		parts = e.Fastener.Parts
	case e.Connection != nil:
		parts = e.Connection.Parts
		if x := e.Connection.Fluid; x != nil && refersTo(c.Reaches, x.ID) {
			return true
		}
	case e.Part != nil:
		parts = e.Part.Beneath // who takes a cover off is at what lies under it
	}
	return slices.ContainsFunc(parts, func(p *state.Part) bool { return refersTo(c.Reaches, p.ID) })
}

// isolates reports whether an event is itself what keeps the energy away, or a part of it: what the condition's row names, or
// else a cable that comes off or a bleed that is opened right before the condition is established in the same step.
func isolates(f *Facts, e *state.Event, c *state.Condition) bool {
	if len(c.By) > 0 {
		return c.MadeBy(e.Action.Object.ID)
	}
	if !cutsOff(e) {
		return false
	}
	events := f.Trace.Step(e.Step.Number - 1)
	for i := range events {
		switch x := &events[i]; {
		case x.Index <= e.Index, !x.Changes() && x.Condition == nil, cutsOff(x):
		case x.Condition != nil && x.Action.Verb == procedure.Establish:
			if x.Condition == c || slices.Contains(c.RequiredBy, x.Condition) {
				return true
			}
		default:
			return false
		}
	}
	return false
}

// cutsOff reports whether an event can be what isolates: a cable or a plug that comes off, a bleed that is opened.
func cutsOff(e *state.Event) bool {
	switch {
	case e.Connection != nil && e.Action.Verb == procedure.Disconnect:
		return e.Connection.Kind == procedure.Cable || e.Connection.Kind == procedure.Connector
	case e.Fastener != nil && e.Action.Verb == procedure.Loosen:
		return e.Fastener.Kind == procedure.Plug || e.Fastener.Kind == procedure.Screw && len(e.Fastener.Parts) < 2
	}
	return false
}

// fillsByOpening reports whether a condition ended because a circuit is filled by letting back in what it kept away: then the
// filling is no work under it, and nothing is that touches another thing than the circuit.
func fillsByOpening(f *Facts, e *state.Event, c *state.Condition) bool {
	from := f.Trace.Event(e.Before.Condition(c).Last)
	if from == nil || from.Action.Verb != procedure.Undo && !c.MadeBy(from.Action.Object.ID) {
		return false
	}
	fill := find(f, from.Index+1, func(x *state.Event) bool { return x.Step != from.Step || x.Action.Verb == procedure.Fill })
	if fill == nil || fill.Step != from.Step || fill.Fluid == nil {
		return false
	}
	switch x := fill.Fluid; {
	case e.Index == fill.Index:
		return true
	case e.Index < fill.Index, e.Fluid == x, e.Connection != nil && e.Connection.Fluid == x, e.Fastener != nil && slices.Contains(f.Trace.Plugs(x), e.Fastener):
		return false
	}
	return true
}

// whyNot says why a condition does not hold before an event, and where that comes from or is put right.
func whyNot(f *Facts, e *state.Event, c *state.Condition) (say.Text, *state.Event) {
	at := e.Before.Condition(c)
	from := f.Trace.Event(at.Last)
	switch {
	case !at.Holds() && from == nil && endedOut(f, c) != nil:
		ended := endedOut(f, c)
		return say.That("it ends in step %step of the removal", number(ended)), ended
	case at.Is == state.Lost && from != nil:
		return say.That("it is lost in step %step, when the %thing is %done", number(from), say.Name(from.Action.Object.ID), done(from)), from
	case at.Is == state.Open && from != nil:
		return say.That("it is undone in step %step", number(from)), from
	}
	later := find(f, e.Index, func(x *state.Event) bool {
		return x.Condition == c && x.After.Condition(c).Holds() && !x.Before.Condition(c).Holds()
	})
	return when(e, later, say.That("it is established only"), say.That("nothing establishes it")), later
}

// endedOut is the event of the removal that ends a condition for good; nil when none does.
func endedOut(f *Facts, c *state.Condition) *state.Event {
	if f.Out == nil {
		return nil
	}
	for i := len(f.Out.Events) - 1; i >= 0; i-- {
		e := &f.Out.Events[i]
		if e.Before.Condition(c).Holds() && !e.After.Condition(c).Holds() {
			return e
		}
	}
	return nil
}

// done says in the past what an event does to a thing.
func done(e *state.Event) say.Text {
	switch e.Action.Verb {
	case procedure.Fit:
		return say.That("fitted")
	case procedure.Connect:
		return say.That("connected")
	case procedure.Fill:
		return say.That("filled")
	case procedure.Establish:
		return say.That("established")
	case procedure.Undo:
		return say.That("undone")
	}
	return say.Text{}
}
