// Package lifts finds the lifts of a job and holds each against what people and
// gear can carry: the figures of the step view and of the lift sheet. It checks
// plausibility; it certifies nothing.
package lifts

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/lifting"
	"matchmark/procedure/loads"
	"matchmark/procedure/measure"
	"matchmark/procedure/state"
)

// Lift is one action that takes a part's weight off the machine, or brings it back.
type Lift struct {
	Step   *procedure.Step
	Action *procedure.Action
	Part   *procedure.Part
	// Along are parts that are still fastened to the part and come with it.
	Along []*procedure.Part
	// Mass is that of the part and of what comes along, as far as it is stated; it
	// is not stated when the part's own is not.
	Mass measure.Quantity
	// Unweighed are those that come along without a mass stated: the lift is not judged with
	// them, unless the others are too much already.
	Unweighed []*procedure.Part
	// Hand is set for a lift by hand, Gear for a lift with gear; a lift with gear that hands guide has Gear only.
	Hand *lifting.HandVerdict
	Gear *lifting.GearVerdict
	// Balances are what has the load of a lift with gear, and then what has the heavy parts that stay and that supports are on.
	Balances []*loads.Balance
	// Assumed names what of the geometry of a lift by hand the author does not
	// state: reach, from, to, twist, grip.
	Assumed []string
}

// In returns a job's lifts in order, from its trace: every lift, and every part with a
// mass that is taken off or put back without one. A part that is fitted while it is
// lifted was lifted before. On a refitting, geometry that is not stated is that of the
// lift that brought the part off, turned round: out is the trace of the job that it
// brings back, nil for a job that is no refitting.
func In(out, trace *state.Trace) []Lift {
	var lifts []Lift
	for i := range trace.Events {
		e := &trace.Events[i]
		if e.Part == nil || e.Part.Base || !isLift(e) {
			continue
		}
		l := Lift{Step: e.Step, Action: e.Action, Part: e.Part.Part}
		l.load(e.Moved)
		if gear := gearOf(e); len(gear) > 0 {
			v := lifting.ByGear(l.asLoad(), gear)
			l.Gear = &v
			l.Balances = balances(e)
		} else {
			l.byHand(geometryOf(e, out))
		}
		lifts = append(lifts, l)
	}
	return lifts
}

// balances are how the load hangs right after the action and how what stays on supports is held. What is fitted is looked at as it comes.
func balances(e *state.Event) []*loads.Balance {
	s := e.After
	if e.Action.Verb != procedure.Lift {
		s = e.Before
	}
	out := []*loads.Balance{loads.Of(s, e.Part)}
	for _, q := range s.Assembly.Parts {
		if s.Part(q).Is != state.InPlace || len(s.Part(q).Carriers) == 0 || slices.ContainsFunc(out, func(b *loads.Balance) bool { return b.Group.Has(q) }) {
			continue
		}
		if b := loads.Of(s, q); b.Group.Kg >= state.RestKg && len(b.Lines) > 0 {
			out = append(out, b)
		}
	}
	return out
}

// With returns the lift that moves the part of an act in a step: its own, for a part that is supported the next one, for one that is set
// down the last one. What a part weighs with all that comes along is the mass of that. Nil when the job does not lift the part.
func With(all []Lift, step *procedure.Step, a *procedure.Action) *Lift {
	var found *Lift
	at := slices.Index(step.Actions(), a)
	for i := range all {
		l := &all[i]
		earlier, later := l.Step.Number < step.Number, l.Step.Number > step.Number
		if !earlier && !later { // a unit may be lifted twice in a step, and weigh less the second time
			of := slices.Index(step.Actions(), l.Action)
			earlier, later = of < at, of > at
		}
		switch {
		case l.Action == a:
			return l
		case l.Part.ID != a.Object.ID:
		case a.Verb == procedure.Hang && later && found == nil, a.Verb == procedure.SetDown && earlier:
			found = l
		}
	}
	return found
}

// UnjudgedEyes are the eye bolts of the machine that a sling of the lift hooks into, and of which it is not known what they carry: how much
// they are rated for is not stated, or they are pulled at an angle and how they are made is not.
func (l *Lift) UnjudgedEyes() []*procedure.Fastener {
	if l.Gear == nil || len(l.Balances) == 0 {
		return nil
	}
	var out []*procedure.Fastener
	for _, line := range l.Balances[0].Lines {
		for _, x := range line.Supports {
			i := slices.IndexFunc(l.Gear.Items, func(i lifting.Item) bool { return i.Support == x.Support })
			if i < 0 {
				continue
			}
			for _, eye := range x.Eyes {
				_, rated := lifting.Kilograms(eye.Rated)
				_, made := lifting.EyeFactor(eye.Eye, l.Gear.Items[i].Flattest())
				straight, _ := lifting.EyeFactor(procedure.PlainEye, l.Gear.Items[i].Flattest())
				if !rated || !made && straight < 1 {
					out = append(out, eye.Fastener)
				}
			}
		}
	}
	return out
}

func isLift(e *state.Event) bool {
	switch e.Action.Verb {
	case procedure.Lift:
		return true
	case procedure.Remove:
		return anyMass(e.Moved)
	case procedure.Fit:
		return anyMass(e.Moved) && e.Before.Part(e.Part).Is != state.Lifted
	}
	return false
}

// anyMass reports whether one of the parts has its mass stated.
func anyMass(parts []*state.Part) bool {
	return slices.ContainsFunc(parts, func(p *state.Part) bool { return !p.Mass.IsZero() })
}

// load adds up what moves.
func (l *Lift) load(moved []*state.Part) {
	l.Mass = l.Part.Mass
	for _, q := range moved {
		if q.Part == l.Part {
			continue
		}
		l.Along = append(l.Along, q.Part)
		if q.Mass.IsZero() {
			l.Unweighed = append(l.Unweighed, q.Part)
		} else if sum, err := l.Mass.Add(q.Mass); err == nil { // fails when the part's own is not stated
			l.Mass = sum
		}
	}
}

func (l *Lift) asLoad() lifting.Load {
	return lifting.Load{Mass: l.Mass, AtLeast: len(l.Unweighed) > 0}
}

// gearOf returns what carries the part: what it hangs on, and for a lift what the action names. A sling that was put on
// before is judged in the lift although the act names the hoist alone.
func gearOf(e *state.Event) []*procedure.Support {
	carriers := e.Before.Part(e.Part).Carriers
	if e.Action.Verb == procedure.Lift {
		carriers = slices.Concat(e.Supports, carriers)
	}
	var out []*procedure.Support
	for _, s := range carriers {
		if !lifting.Hands(s.Support) && !slices.Contains(out, s.Support) {
			out = append(out, s.Support)
		}
	}
	return out
}

func (l *Lift) byHand(h procedure.HandLift) {
	geometry, assumed := evaluable(h)
	v := lifting.ByHand(l.asLoad(), l.Step.People, &geometry)
	l.Hand, l.Assumed = &v, assumed
}

// geometryOf returns the geometry that the author states with the action. What
// brings a part back without stating any has that of its removal, from where it
// stands to where it belongs.
func geometryOf(e *state.Event, out *state.Trace) procedure.HandLift {
	h := stated(e)
	if h != (procedure.HandLift{}) || out == nil || e.Action.Verb == procedure.Remove {
		return h
	}
	for i := range slices.Backward(out.Events) {
		if off := &out.Events[i]; off.Part == e.Part && off.Departs() {
			h = stated(off)
			h.From, h.To = h.To, h.From
			return h
		}
	}
	return h
}

func stated(e *state.Event) procedure.HandLift {
	for _, b := range e.Step.Blocks {
		if shown := b.Shows(); shown.Lift != nil && slices.Contains(shown.Actions, e.Action) {
			return *shown.Lift
		}
	}
	return procedure.HandLift{}
}
