package lifting

import (
	"errors"

	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// standardGravity turns a force in newtons into the kilograms that it holds.
const standardGravity = 9.80665 // m/s²

// rounding is the relative error that a sine leaves, so that a sling loaded
// exactly to its capacity is not called overloaded.
const rounding = 1e-9

// Gear says whether the supports carry a load.
type Gear int

// The outcomes.
const (
	GearNotJudged Gear = iota // see the reasons
	Carries
	Overloaded
	Refused // a sling leg is flatter than allowed, or an eye bolt is pulled as it must not be
)

// Item is one support with the load on it, in kilograms.
type Item struct {
	Support *procedure.Support
	// Reason says why the item could not be judged; empty when it could.
	Reason Reason
	// Legs is how many sling legs are taken to carry, and Angle their angle in
	// degrees from the horizontal; 0 for what is no sling.
	Legs  int
	Angle float64
	// AngleAssumed is true when the sling states no angle, so that the flattest allowed one is taken.
	AngleAssumed bool
	// OtherAngle is the angle of the second of two unequal legs; 0 when all stand alike.
	OtherAngle float64
	// Reduction is which part of a leg's capacity its hitch leaves; 1 for a straight pull.
	Reduction float64
	// ChokeAssumed is true when a choker hitch states no angle, so that the worst one is taken.
	ChokeAssumed bool
	// PerAssembly is true when Capacity is worked out from that of the whole sling.
	PerAssembly bool
	// ByTag is true when CanCarry is what the tag or the maker's table says.
	ByTag bool
	// Tension is the pull on one leg, of unequal legs the greater one, or the whole load on anything else.
	Tension float64
	// Capacity is the rated capacity in kilograms, of a sling that of one leg hanging straight.
	Capacity float64
	// CanCarry is the load that the item can take in this arrangement.
	CanCarry float64
}

// GearVerdict holds a lift with gear with the figures behind it.
type GearVerdict struct {
	Gear   Gear
	Reason Reason // NoMass or NoSupport, or the first item's that was not judged
	// Load is the mass in kilograms, as far as it is stated.
	Load  float64
	Items []Item
	// Weakest is the index of the item that can carry least of those that could be judged; -1 for none.
	Weakest int
}

// ByGear judges whether a chain of supports, such as a hoist and a sling,
// carries a mass. Each item is taken to carry the whole load, so the weakest
// decides; people's hands are left out. An item that cannot be judged leaves
// the lift unjudged, unless another is overloaded; so does a mass that is not stated
// in full, unless what is stated is too much already.
func ByGear(load Load, supports []*procedure.Support) GearVerdict {
	v := GearVerdict{Weakest: -1}
	kg, known := Kilograms(load.Mass)
	if !known || load.Mass.Dimension() != measure.Mass {
		v.Reason = NoMass
	} else if load.AtLeast {
		v.Reason = PartlyWeighed
	}
	v.Load = kg
	for _, s := range supports {
		if Hands(s) {
			continue
		}
		item := itemOf(s, kg)
		v.Items = append(v.Items, item)
		if item.Reason == "" && (v.Weakest < 0 || item.CanCarry < v.Items[v.Weakest].CanCarry) {
			v.Weakest = len(v.Items) - 1
		}
	}
	v.judge()
	return v
}

func (v *GearVerdict) judge() {
	for _, i := range v.Items {
		if i.Reason == TooFlat || i.Reason == EyeSideways {
			v.Gear, v.Reason = Refused, i.Reason
			return
		}
	}
	switch {
	case v.Reason == NoMass:
	case len(v.Items) == 0:
		v.Reason = NoSupport
	case v.Weakest >= 0 && v.Items[v.Weakest].CanCarry*(1+rounding) < v.Load:
		v.Gear = Overloaded
	case v.Reason == PartlyWeighed:
	default:
		v.Gear = Carries
		for _, i := range v.Items {
			if i.Reason != "" {
				v.Gear, v.Reason = GearNotJudged, i.Reason
				return
			}
		}
	}
}

// itemOf works out the load on one support.
func itemOf(s *procedure.Support, load float64) Item {
	item := Item{Support: s, Tension: load, Reduction: 1}
	perLeg := 1.0 // the pull on the leg that has most, for a load of 1
	if isSling(s) || s.Kind == procedure.EyeBolt {
		if item.Reason = item.arrange(); item.Reason != "" {
			return item
		}
		var err error
		if perLeg, err = item.pull(); err != nil {
			item.Reason = reasonOf(err)
			return item
		}
		item.Tension = load * perLeg
	}
	item.eyes()
	capacity, known := Kilograms(s.Capacity)
	item.Capacity = capacity
	if tag, stated := Kilograms(s.Tag); stated {
		item.Reason, item.ByTag, item.CanCarry = "", true, tag
		return item
	}
	assembly := capacity
	if s.Per == procedure.PerAssembly && s.Legs > 1 {
		item.PerAssembly = true
		if capacity, known = OneLeg(s); known {
			item.Capacity = capacity
		}
	}
	switch {
	case !known:
		item.Reason = NoCapacity
	case item.Reason != "":
	default:
		item.CanCarry = capacity * item.Reduction / perLeg
		if item.PerAssembly {
			item.CanCarry = min(item.CanCarry, assembly) // steeper legs do not raise what a tag allows
		}
	}
	return item
}

// eyes finds out what eye bolts keep of their rating at the angle at which they are pulled.
func (i *Item) eyes() {
	if i.Support.Kind != procedure.EyeBolt || i.Flattest() == 90 {
		return
	}
	factor, known := EyeFactor(i.Support.Eye, i.Flattest())
	switch {
	case !known:
		i.Reason = EyeAngle
	case factor == 0:
		i.Reason = EyeSideways
	default:
		i.Reduction *= factor
	}
}

// Flattest is the angle of the leg that stands flattest, in degrees from the horizontal; 90 for what has no legs.
func (i *Item) Flattest() float64 {
	switch {
	case i.Legs == 0:
		return 90
	case i.OtherAngle != 0:
		return min(i.Angle, i.OtherAngle)
	}
	return i.Angle
}

// OneLeg is the pull in kilograms that one leg of a sling may take, hanging straight: its capacity, or what that of the assembly
// means for each of the legs that are taken to carry, at the angle for which it holds. Known is false where that is not stated.
func OneLeg(s *procedure.Support) (kg float64, known bool) {
	if kg, known = Kilograms(s.Capacity); !known || !isSling(s) {
		return 0, false
	}
	if s.Per != procedure.PerAssembly || s.Legs < 2 {
		return kg, true
	}
	pull, err := LegTension(1, CarryingLegs(s.Legs, s.Kind == procedure.ChainSling), s.RatedAngle.Float("°"))
	if err != nil {
		return 0, false
	}
	return kg * pull, true
}

// CanCarry returns the load in kilograms that a support can take as it is put on; known is
// false when that cannot be said.
func CanCarry(s *procedure.Support) (kg float64, known bool) {
	item := itemOf(s, 0)
	return item.CanCarry, item.Reason == ""
}

// arrange finds out how many legs carry and at which angles, and what the hitch leaves of a leg.
func (i *Item) arrange() Reason {
	s := i.Support
	strands := s.Legs
	if s.Hitch == procedure.Basket {
		strands = 2 * max(s.Legs, 1) // both ends of each sling carry
	}
	i.Legs = CarryingLegs(strands, s.Kind == procedure.ChainSling)
	i.Angle, i.AngleAssumed = angleOf(s, strands)
	if !s.OtherAngle.IsZero() {
		i.OtherAngle = s.OtherAngle.Float("°")
		if s.Legs != 2 || s.Hitch == procedure.Basket {
			return UnequalLegs
		}
	}
	if s.Hitch == procedure.Choker {
		choke := 0.0 // the worst
		if i.ChokeAssumed = s.Choke.IsZero(); !i.ChokeAssumed {
			choke = s.Choke.Float("°")
		}
		if i.Reduction = ChokerFactor(choke); i.Reduction == 0 {
			return BadAngle
		}
	}
	return ""
}

// pull is the pull on the leg that has most, for a load of 1.
func (i *Item) pull() (float64, error) {
	if i.OtherAngle != 0 {
		a, b, err := UnequalTensions(1, i.Angle, i.OtherAngle)
		return max(a, b), err
	}
	return LegTension(1, i.Legs, i.Angle)
}

func isSling(s *procedure.Support) bool {
	return s.Legs > 0 || s.Kind == procedure.Sling || s.Kind == procedure.ChainSling
}

// angleOf returns the angle of a sling's legs. One leg hangs straight unless an
// angle is stated; several without an angle are taken as flat as is allowed.
func angleOf(s *procedure.Support, strands int) (degrees float64, assumed bool) {
	switch {
	case !s.Angle.IsZero():
		return s.Angle.Float("°"), false // NaN for another dimension, which Factor refuses
	case strands > 1:
		return FlattestAngle, true
	}
	return 90, false
}

func reasonOf(err error) Reason {
	var e *AngleError
	if errors.As(err, &e) && e.TooFlat() {
		return TooFlat
	}
	return BadAngle
}

// Kilograms reads a mass, or the mass that a force holds.
func Kilograms(q measure.Quantity) (kg float64, known bool) {
	switch q.Dimension() {
	case measure.Mass:
		return q.Float("kg"), true
	case measure.Force:
		return q.Float("N") / standardGravity, true
	}
	return 0, false
}
