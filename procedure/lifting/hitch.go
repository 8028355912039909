package lifting

import "math"

// chokerRating is which part of a leg's straight rating a choker hitch has at its best.
//
// Source: 0.75 for wire rope and chain, 0.8 for synthetic slings in trade tables and
// makers' data; the lower is taken for all.
const chokerRating = 0.75

// ChokerFactor returns which part of a leg's straight rating a choker hitch has at an
// angle of choke in degrees: 0.75 above 120°, where a load hangs freely, and less in a
// tighter choke. It is 0 for an angle that cannot be.
//
// Source: three trade tables that agree on 1, .87, .74, .62 and .49 of the choker rating;
// between two of their whole degrees the lower value counts.
func ChokerFactor(choke float64) float64 {
	switch {
	case !(choke >= 0 && choke <= 180):
		return 0
	case choke > 120:
		return chokerRating
	case choke >= 90:
		return 0.87 * chokerRating
	case choke >= 60:
		return 0.74 * chokerRating
	case choke >= 30:
		return 0.62 * chokerRating
	}
	return 0.49 * chokerRating
}

// UnequalTensions returns the pull on each of two legs that stand at different angles
// from the horizontal and meet in a hook over the load's centre of gravity:
// Ta = W · cos b / sin(a + b). The steeper leg may well have more. An angle that
// Factor refuses gives its *AngleError.
//
// Source: statics of three forces through one point; agrees with published worked examples.
func UnequalTensions(load, a, b float64) (ta, tb float64, err error) {
	for _, angle := range []float64{a, b} {
		if _, err := Factor(angle); err != nil {
			return 0, 0, err
		}
	}
	if a == 90 && b == 90 { // side by side: what each has is not known
		return load, load, nil
	}
	radians := math.Pi / 180
	sum := math.Sin((a + b) * radians)
	return load * math.Cos(b*radians) / sum, load * math.Cos(a*radians) / sum, nil
}
