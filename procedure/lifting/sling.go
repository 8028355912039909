package lifting

import (
	"fmt"
	"math"
)

// FlattestAngle is the smallest angle of a sling leg from the horizontal, in degrees.
//
// Source: trade tables that cite 29 CFR 1910.184 and ASME B30.9.
const FlattestAngle = 30

// AngleError is returned for a sling leg whose angle is not allowed or not possible.
type AngleError struct {
	// Angle is in degrees from the horizontal.
	Angle float64
}

// Error says what is wrong with the angle.
func (e *AngleError) Error() string {
	if e.TooFlat() {
		return fmt.Sprintf("a sling leg at %g° from the horizontal is flatter than %d°", e.Angle, FlattestAngle)
	}
	return fmt.Sprintf("a sling leg cannot stand at %g° from the horizontal", e.Angle)
}

// TooFlat reports whether the angle is possible, but flatter than allowed.
func (e *AngleError) TooFlat() bool { return e.Angle >= 0 && e.Angle < FlattestAngle }

// Factor returns by how much the tension in a leg exceeds its share of the
// load, 1 / sin(angle), for an angle from the horizontal in degrees between 30
// and 90. Any other angle gives an *AngleError.
//
// Source: statics of a symmetric sling; agrees with two public trade tables.
func Factor(angle float64) (float64, error) {
	if !(angle >= FlattestAngle && angle <= 90) {
		return 0, &AngleError{Angle: angle}
	}
	return 1 / math.Sin(angle*math.Pi/180), nil
}

// CarryingLegs returns how many legs of a sling are taken to carry. A rigid
// load on three or four legs may rest on two of them, so two count; of a chain
// sling, whose legs are adjusted, three.
//
// Source: two legs, common practice; three for chain, a trade catalogue.
func CarryingLegs(legs int, chain bool) int {
	most := 2
	if chain {
		most = 3
	}
	return min(max(legs, 1), most)
}

// LegTension returns the tension in each carrying leg of a symmetric sling, in
// the unit of the load: load / legs · 1/sin(angle). Legs that stand unequally
// are loaded unequally: the flattest then carries more than this. The angle is from
// the horizontal in degrees; an angle that Factor refuses gives its *AngleError.
//
// Source: statics of a symmetric sling; agrees with published worked examples.
func LegTension(load float64, carrying int, angle float64) (float64, error) {
	f, err := Factor(angle)
	if err != nil {
		return 0, err
	}
	return load / float64(max(carrying, 1)) * f, nil
}
