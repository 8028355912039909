// Package lifts finds the lifts of a job and holds each against what people and
// gear can carry: the figures of the step view and of the lift sheet. It checks
// plausibility; it certifies nothing.
package lifts

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/lifting"
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
	// Hand is set for a lift by hand, Gear for a lift with gear; a lift with gear that hands guide has Gear only.
	Hand *lifting.HandVerdict
	Gear *lifting.GearVerdict
	// Assumed names what of the geometry of a lift by hand the author does not
	// state: reach, from, to, twist, grip.
	Assumed []string
}

// Of returns the job's lifts in order: every lift, and every part with a mass that
// is taken off or put back without one. A part that is fitted while it is lifted
// was lifted before. On a way back, geometry that is not stated is that of the
// lift that brought the part off, turned round.
func Of(j *procedure.Job) []Lift { return In(state.There(j)) }

// In is Of for a job whose trace is there already; out is the trace of the job
// that a way back brings back, nil for a job that is no way back.
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
			v := lifting.ByGear(l.Mass, gear)
			l.Gear = &v
		} else {
			l.byHand(geometryOf(e, out))
		}
		lifts = append(lifts, l)
	}
	return lifts
}

func isLift(e *state.Event) bool {
	switch e.Action.Verb {
	case procedure.Lift:
		return true
	case procedure.Remove:
		return !e.Part.Mass.IsZero()
	case procedure.Fit:
		return !e.Part.Mass.IsZero() && e.Before.Part(e.Part).Is != state.Lifted
	}
	return false
}

// load adds up what moves.
func (l *Lift) load(moved []*state.Part) {
	l.Mass = l.Part.Mass
	for _, q := range moved {
		if q.Part == l.Part {
			continue
		}
		l.Along = append(l.Along, q.Part)
		if sum, err := l.Mass.Add(q.Mass); err == nil { // fails for a mass that is not stated
			l.Mass = sum
		}
	}
}

// gearOf returns what carries the part: for a lift what the action names, for a
// part that is taken off or put back what it hangs on.
func gearOf(e *state.Event) []*procedure.Support {
	carriers := e.Supports
	if e.Action.Verb != procedure.Lift {
		carriers = e.Before.Part(e.Part).Carriers
	}
	var out []*procedure.Support
	for _, s := range carriers {
		if !lifting.Hands(s.Support) {
			out = append(out, s.Support)
		}
	}
	return out
}

func (l *Lift) byHand(h procedure.HandLift) {
	geometry, assumed := evaluable(h)
	v := lifting.ByHand(l.Mass, l.Step.People, &geometry)
	l.Hand, l.Assumed = &v, assumed
}

// geometryOf returns the geometry that the author states with the action. What
// brings a part back without stating any has that of its way out, from where it
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
		if list, ok := b.(*procedure.ActionList); ok && slices.Contains(list.Actions, e.Action) {
			return list.Lift
		}
	}
	return procedure.HandLift{}
}
