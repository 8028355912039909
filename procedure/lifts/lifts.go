// Package lifts finds the lifts of a job and holds each against what people and
// gear can carry: the figures of the step view and of the lift sheet. It checks
// plausibility; it certifies nothing.
package lifts

import (
	"math"

	"matchmark/procedure"
	"matchmark/procedure/lifting"
	"matchmark/procedure/measure"
)

// Lift is one action that takes a part's weight off the machine.
type Lift struct {
	Step   *procedure.Step
	Action *procedure.Action
	Part   *procedure.Part
	// Hand is set for a lift by hand, Gear for a lift with gear; a lift with gear that hands guide has Gear only.
	Hand *lifting.HandVerdict
	Gear *lifting.GearVerdict
	// Assumed names what of the geometry of a lift by hand the author does not
	// state: reach, from, to, twist, grip.
	Assumed []string
}

// Of returns the job's lifts in order: every lift, and every part with a mass that is taken off by hand.
func Of(j *procedure.Job) []Lift {
	var out []Lift
	for _, s := range j.Steps {
		for _, b := range s.Blocks {
			list, ok := b.(*procedure.ActionList)
			if !ok {
				continue
			}
			for _, a := range list.Actions {
				if l, ok := lift(j, s, list, a); ok {
					out = append(out, l)
				}
			}
		}
	}
	return out
}

func lift(j *procedure.Job, s *procedure.Step, list *procedure.ActionList, a *procedure.Action) (Lift, bool) {
	t := j.Machine.Thing(a.Object.ID)
	if t == nil || t.Part == nil || t.Part.Base {
		return Lift{}, false
	}
	out := Lift{Step: s, Action: a, Part: t.Part}
	switch {
	case a.Verb == procedure.Lift:
		supports := supportsOf(j.Machine, a.With)
		if gear := withoutHands(supports); len(gear) > 0 {
			v := lifting.ByGear(t.Part.Mass, gear)
			out.Gear = &v
			return out, true
		}
	case (a.Verb == procedure.Remove || a.Verb == procedure.Fit) && !t.Part.Mass.IsZero():
	default:
		return Lift{}, false
	}
	geometry, assumed := geometryOf(list.Lift)
	v := lifting.ByHand(t.Part.Mass, s.People, &geometry)
	out.Hand, out.Assumed = &v, assumed
	return out, true
}

func supportsOf(m *procedure.Machine, refs []procedure.Ref) []*procedure.Support {
	var out []*procedure.Support
	for _, r := range refs {
		if t := m.Thing(r.ID); t != nil && t.Support != nil {
			out = append(out, t.Support)
		}
	}
	return out
}

func withoutHands(supports []*procedure.Support) []*procedure.Support {
	var out []*procedure.Support
	for _, s := range supports {
		if !lifting.Hands(s) {
			out = append(out, s)
		}
	}
	return out
}

// geometryOf fills what the author states into the assumed lift, and names the rest.
func geometryOf(h procedure.HandLift) (l lifting.Lift, assumed []string) {
	l = lifting.AssumedLift()
	// The assumed destination is shared by the package's value; change a copy.
	to := *l.Destination
	l.Destination = &to
	length := func(q measure.Quantity, name string, into ...*float64) {
		if q.IsZero() {
			assumed = append(assumed, name)
			return
		}
		for _, p := range into {
			*p = q.Float("cm")
		}
	}
	length(h.Reach, "reach", &l.Origin.Horizontal, &to.Horizontal)
	length(h.From, "from", &l.Origin.Vertical)
	length(h.To, "to", &to.Vertical)
	l.Travel = math.Abs(to.Vertical - l.Origin.Vertical)
	if h.Twist.IsZero() {
		assumed = append(assumed, "twist")
	} else {
		l.Origin.Asymmetry, to.Asymmetry = h.Twist.Float("deg"), h.Twist.Float("deg")
	}
	switch h.Grip {
	case "good":
		l.Coupling = lifting.Good
	case "fair":
		l.Coupling = lifting.Fair
	case "poor":
		l.Coupling = lifting.Poor
	default:
		assumed = append(assumed, "grip")
	}
	return l, assumed
}
