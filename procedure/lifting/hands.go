package lifting

import (
	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// Hands reports whether a support is people's hands rather than gear: its kind
// is "hands".
func Hands(s *procedure.Support) bool { return s.Kind == procedure.HandSupport }

// MostPeople is how many people are taken to share a load evenly.
//
// Source: common practice.
const MostPeople = 2

// AssumedLift returns the lift that is assumed when a procedure states no
// geometry: one lift now and then, from inside a machine to a bench, turned a
// little, with fingers under the part. Its load is zero.
//
//	H  40 cm at both ends   the part is not held against the body
//	V  50 cm to 90 cm       from the machine's frame to bench height
//	D  40 cm                the difference
//	A  30°                  the bench stands beside the machine
//	F  0.2 per minute       at most one lift in five minutes
//	up to 1 h, coupling fair
//
// Source: common practice; the figures are ours.
func AssumedLift() Lift {
	return Lift{
		System:      Metric(),
		Origin:      Position{Horizontal: 40, Vertical: 50, Asymmetry: 30},
		Destination: &Position{Horizontal: 40, Vertical: 90, Asymmetry: 30},
		Travel:      40,
		Frequency:   0.2,
		Duration:    Short,
		Coupling:    Fair,
	}
}

// Band says how a lifting index is judged.
type Band int

// The bands. Above 3 nearly all workers are at a raised risk.
//
// Source: DHHS (NIOSH) Publication 94-110 (revised 9/2021), page 20, by a public transcription.
const (
	NotJudged Band = iota // see the reason
	Within                // LI up to 1
	Raised                // LI above 1
	High                  // LI above 3, or beyond the limits of the equation
)

// Reason says why a lift was not judged. Its text is a key, not prose.
type Reason string

// The reasons.
const (
	NoMass        Reason = "no-mass"
	TooManyPeople Reason = "too-many-people"
	BadGeometry   Reason = "bad-geometry"
	NoSupport     Reason = "no-support"
	NoCapacity    Reason = "no-capacity"
	BadAngle      Reason = "bad-angle"
	TooFlat       Reason = "too-flat"
)

// HandVerdict holds a lift by hand with the figures behind it.
type HandVerdict struct {
	Band   Band
	Reason Reason // only with NotJudged

	People int
	// Lift is what was evaluated; its load is one person's share.
	Lift Lift
	// Assumed is true when the geometry is AssumedLift's.
	Assumed bool
	Result  Result
}

// ByHand judges a lift of a mass by one or two people. Without a geometry the
// assumed one is taken; its load is ignored in either case.
//
// The equation is for one person. Two people are taken to carry half the load
// each, and each half is held against the limit for one: that is common
// practice, not part of the equation. More people share a load too unevenly to
// be judged.
func ByHand(mass measure.Quantity, people int, geometry *Lift) HandVerdict {
	v := HandVerdict{People: max(people, 1), Assumed: geometry == nil}
	if v.Assumed {
		v.Lift = AssumedLift()
	} else {
		v.Lift = *geometry
	}
	switch {
	case mass.Dimension() != measure.Mass:
		v.Reason = NoMass
		return v
	case v.People > MostPeople:
		v.Reason = TooManyPeople
		return v
	case v.Lift.System.MassUnit == "":
		v.Reason = BadGeometry
		return v
	}
	v.Lift.Load = mass.Float(v.Lift.System.MassUnit) / float64(v.People)
	var err error
	if v.Result, err = Evaluate(v.Lift); err != nil {
		v.Reason = BadGeometry
		return v
	}
	v.Band = band(v.Result.Index)
	return v
}

func band(index float64) Band {
	switch {
	case index > 3*(1+rounding):
		return High
	case index > 1+rounding:
		return Raised
	}
	return Within
}
