package lifts

import (
	"math"

	"matchmark/procedure"
	"matchmark/procedure/lifting"
	"matchmark/procedure/measure"
)

// evaluable fills what the author states into the assumed lift, and names the rest.
func evaluable(h procedure.HandLift) (l lifting.Lift, assumed []string) {
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
