// Package lifting checks whether a lift is plausible: by hand with the NIOSH
// revised lifting equation, with gear by sling tension and rated capacity. It
// gives values, and certifies nothing.
package lifting

import (
	"fmt"
	"math"
)

// System is a set of constants of the equation. The two sets are not
// conversions of each other (23 kg is not 51 lb), so a result names its system.
type System struct {
	Name               string
	MassUnit           string // of loads and limits
	LengthUnit         string // of H, V and D
	loadConstant       float64
	leastH, mostH      float64 // HM = leastH / H
	knuckle, slope     float64 // VM = 1 - slope·|V - knuckle|
	mostV              float64
	leastD, mostD, add float64 // DM = 0.82 + add / D
}

// Metric returns the constants in kilograms and centimetres.
//
// Source: DHHS (NIOSH) Publication 94-110 (revised 9/2021), section 1.3, by a public transcription.
func Metric() System {
	return System{Name: "metric", MassUnit: "kg", LengthUnit: "cm", loadConstant: 23,
		leastH: 25, mostH: 63, knuckle: 75, slope: 0.003, mostV: 175, leastD: 25, mostD: 175, add: 4.5}
}

// Position is where the hands hold the load, in the system's length unit.
type Position struct {
	// Horizontal is the distance from the ankles' midpoint to the hands.
	Horizontal float64
	// Vertical is the height of the hands above the floor.
	Vertical float64
	// Asymmetry is the angle by which the load is turned out of the body's mid-plane, in degrees.
	Asymmetry float64
}

// Lift is one manual lift, or one of many like it.
type Lift struct {
	System System
	// Load is what one person lifts, in the system's mass unit.
	Load   float64
	Origin Position
	// Destination is nil when the load is let go without being placed with care.
	Destination *Position
	// Travel is the vertical distance D, in the system's length unit.
	Travel float64
	// Frequency is in lifts per minute.
	Frequency float64
	Duration  Duration
	Coupling  Coupling
}

// Multipliers are the six factors that reduce the load constant.
type Multipliers struct {
	Horizontal, Vertical, Distance, Asymmetry, Frequency, Coupling float64
}

// product multiplies the six.
func (m Multipliers) product() float64 {
	return m.Horizontal * m.Vertical * m.Distance * m.Asymmetry * m.Frequency * m.Coupling
}

// Limit is the equation at one end of a lift.
type Limit struct {
	Multipliers Multipliers
	// RWL is the recommended weight limit in the system's mass unit; 0 beyond the limits of the equation.
	RWL float64
	// Index is the lifting index, load / RWL; +Inf when RWL is 0 and there is a load.
	Index float64
}

// Result is the equation for a whole lift.
type Result struct {
	System System
	Origin Limit
	// Destination is nil when the lift has none.
	Destination *Limit
	// RWL is the lower of both ends, and Index the greater.
	RWL, Index float64
	// AtDestination is true when the destination gives the lower limit.
	AtDestination bool
}

// Evaluate works out the recommended weight limit and the lifting index of a
// lift, RWL = LC · HM · VM · DM · AM · FM · CM and LI = L / RWL, at full
// precision. It fails for a number that is negative or none at all. The
// equation is for one person, standing, with two hands, up to 8 hours; not for
// restricted space, unstable loads or slippery floors.
//
// Source: DHHS (NIOSH) Publication 94-110 (revised 9/2021), sections 1.1 and 1.3, by a public transcription.
func Evaluate(l Lift) (Result, error) {
	if err := l.valid(); err != nil {
		return Result{}, err
	}
	r := Result{System: l.System, Origin: l.at(l.Origin)}
	r.RWL, r.Index = r.Origin.RWL, r.Origin.Index
	if l.Destination == nil {
		return r, nil
	}
	end := l.at(*l.Destination)
	r.Destination = &end
	if end.RWL < r.RWL {
		r.RWL, r.Index, r.AtDestination = end.RWL, end.Index, true
	}
	return r, nil
}

// at evaluates the equation at one end of the lift. The frequency multiplier
// goes by the height at the origin, the coupling multiplier by the height here.
func (l Lift) at(p Position) Limit {
	s := l.System
	m := Multipliers{
		Horizontal: s.horizontal(p.Horizontal),
		Vertical:   s.vertical(p.Vertical),
		Distance:   s.distance(l.Travel),
		Asymmetry:  asymmetry(p.Asymmetry),
		Frequency:  frequency(l.Frequency, l.Duration, l.Origin.Vertical < s.knuckle),
		Coupling:   l.Coupling.multiplier(p.Vertical < s.knuckle),
	}
	limit := Limit{Multipliers: m, RWL: s.loadConstant * m.product()}
	switch {
	case limit.RWL > 0:
		limit.Index = l.Load / limit.RWL
	case l.Load > 0:
		limit.Index = math.Inf(1)
	}
	return limit
}

// horizontal is HM: 1 up to the least distance, 0 beyond the greatest.
func (s System) horizontal(h float64) float64 {
	if h > s.mostH {
		return 0
	}
	return s.leastH / max(h, s.leastH)
}

// vertical is VM: greatest at knuckle height, 0 above reach.
func (s System) vertical(v float64) float64 {
	if v > s.mostV {
		return 0
	}
	return 1 - s.slope*math.Abs(v-s.knuckle)
}

// distance is DM: 1 up to the least travel, 0 beyond the greatest.
func (s System) distance(d float64) float64 {
	if d > s.mostD {
		return 0
	}
	return 0.82 + s.add/max(d, s.leastD)
}

// asymmetry is AM = 1 - 0.0032·A, 0 beyond 135°.
func asymmetry(degrees float64) float64 {
	if degrees > 135 {
		return 0
	}
	return 1 - 0.0032*degrees
}

func (l Lift) valid() error {
	if l.System.loadConstant == 0 {
		return fmt.Errorf("lift without a system of constants")
	}
	values := []float64{l.Load, l.Travel, l.Frequency, l.Origin.Horizontal, l.Origin.Vertical, l.Origin.Asymmetry}
	if d := l.Destination; d != nil {
		values = append(values, d.Horizontal, d.Vertical, d.Asymmetry)
	}
	for _, v := range values {
		if v < 0 || math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("lift with a number of %v", v)
		}
	}
	return nil
}
