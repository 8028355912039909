package lifting

import (
	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// Hands reports whether a support is people's hands rather than gear: its kind
// is "hands".
func Hands(s *procedure.Support) bool { return s.Kind == procedure.HandSupport }

// MostPeople is the largest team for which there is a published value.
const MostPeople = 3

// TeamShare returns which part of the sum of what each may lift a team may lift: all
// of it alone, two thirds for two people, half for three. No value is published for
// larger teams; ok is false then.
//
// Source: HSE L23, guidance on the Manual Handling Operations Regulations 1992,
// paragraphs 119 and 120, by two copies. Other figures are more generous (MIL-STD-1472:
// a pair is rated at twice one person) and are not used.
func TeamShare(people int) (share float64, ok bool) {
	switch people {
	case 1:
		return 1, true
	case 2:
		return 2.0 / 3, true
	case 3:
		return 1.0 / 2, true
	}
	return 0, false
}

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
	// PartlyWeighed says that something on the load has no mass stated.
	PartlyWeighed Reason = "partly-weighed"
	// EyeAngle says that eye bolts are pulled at an angle, and no table is stated.
	EyeAngle Reason = "eye-angle"
	// EyeSideways says that eye bolts are pulled at an angle at which theirs must not be.
	EyeSideways Reason = "eye-sideways"
	// UnequalLegs says that of more than two legs, or of a basket, one stands at another angle.
	UnequalLegs Reason = "unequal-legs"
)

// Load is what is lifted.
type Load struct {
	// Mass is the sum of what is stated.
	Mass measure.Quantity
	// AtLeast is true when something on the load has no mass stated: Mass is the least that it weighs.
	AtLeast bool
}

// HandVerdict holds a lift by hand with the figures behind it.
type HandVerdict struct {
	Band   Band
	Reason Reason // only with NotJudged

	People int
	// Lift is what was evaluated; its load is one person's share.
	Lift Lift
	// Assumed is true when the geometry is AssumedLift's.
	Assumed bool
	// Result is the equation for one person with that share.
	Result Result
	// Limit is what each person of the team may lift, and Index the share over it: those of
	// the equation alone, less in a team.
	Limit, Index float64
}

// ByHand judges a lift by one to three people. Without a geometry the assumed one is
// taken; its load is ignored in either case.
//
// The equation is for one person. A team is taken to share the load evenly, and each
// share is held against the limit for one times TeamShare. A load of which the mass is not
// stated in full is judged only when what is stated is too much already.
func ByHand(load Load, people int, geometry *Lift) HandVerdict {
	mass := load.Mass
	v := HandVerdict{People: max(people, 1), Assumed: geometry == nil}
	share, rated := TeamShare(v.People)
	if v.Assumed {
		v.Lift = AssumedLift()
	} else {
		v.Lift = *geometry
	}
	switch {
	case mass.Dimension() != measure.Mass:
		v.Reason = NoMass
		return v
	case !rated:
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
	v.Limit, v.Index = share*v.Result.RWL, v.Result.Index/share
	if v.Band = band(v.Index); load.AtLeast && v.Band == Within {
		v.Band, v.Reason = NotJudged, PartlyWeighed
	}
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
