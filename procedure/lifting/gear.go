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
	Refused // a sling leg is flatter than allowed
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
	// Tension is the pull on one leg, or the whole load on anything else.
	Tension float64
	// Capacity is the rated capacity, of a sling that of one leg hanging straight.
	Capacity float64
	// CanCarry is the load that the item can take in this arrangement.
	CanCarry float64
}

// GearVerdict holds a lift with gear with the figures behind it.
type GearVerdict struct {
	Gear   Gear
	Reason Reason // NoMass or NoSupport, or the first item's that was not judged
	// Load is the mass in kilograms.
	Load  float64
	Items []Item
	// Weakest is the index of the item that can carry least of those that could be judged; -1 for none.
	Weakest int
}

// ByGear judges whether a chain of supports, such as a hoist and a sling,
// carries a mass. Each item is taken to carry the whole load, so the weakest
// decides; people's hands are left out. An item that cannot be judged leaves
// the lift unjudged, unless another is overloaded.
func ByGear(mass measure.Quantity, supports []*procedure.Support) GearVerdict {
	v := GearVerdict{Weakest: -1}
	load, known := kilograms(mass)
	if !known || mass.Dimension() != measure.Mass {
		v.Reason = NoMass
	}
	v.Load = load
	for _, s := range supports {
		if Hands(s) {
			continue
		}
		item := itemOf(s, load)
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
		if i.Reason == TooFlat {
			v.Gear, v.Reason = Refused, TooFlat
			return
		}
	}
	switch {
	case v.Reason == NoMass:
	case len(v.Items) == 0:
		v.Reason = NoSupport
	case v.Weakest >= 0 && v.Items[v.Weakest].CanCarry*(1+rounding) < v.Load:
		v.Gear = Overloaded
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
	item := Item{Support: s, Tension: load}
	loadPerCapacity := 1.0
	if isSling(s) {
		item.Legs = CarryingLegs(s.Legs, s.Kind == procedure.ChainSling)
		item.Angle, item.AngleAssumed = angleOf(s)
		tension, err := LegTension(load, item.Legs, item.Angle)
		if err != nil {
			item.Reason = reasonOf(err)
			return item
		}
		item.Tension = tension
		unit, _ := LegTension(1, item.Legs, item.Angle) // the angle is known to be allowed
		loadPerCapacity = 1 / unit
	}
	capacity, known := kilograms(s.Capacity)
	if !known {
		item.Reason = NoCapacity
		return item
	}
	item.Capacity, item.CanCarry = capacity, capacity*loadPerCapacity
	return item
}

func isSling(s *procedure.Support) bool {
	return s.Legs > 0 || s.Kind == procedure.Sling || s.Kind == procedure.ChainSling
}

// angleOf returns the angle of a sling's legs. One leg hangs straight unless an
// angle is stated; several without an angle are taken as flat as is allowed.
func angleOf(s *procedure.Support) (degrees float64, assumed bool) {
	switch {
	case !s.Angle.IsZero():
		return s.Angle.Float("°"), false // NaN for another dimension, which Factor refuses
	case s.Legs > 1:
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

// kilograms reads a mass, or the mass that a force holds.
func kilograms(q measure.Quantity) (kg float64, known bool) {
	switch q.Dimension() {
	case measure.Mass:
		return q.Float("kg"), true
	case measure.Force:
		return q.Float("N") / standardGravity, true
	}
	return 0, false
}
