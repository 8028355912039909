package loads

import (
	"math"
	"math/big"
	"slices"

	"matchmark/procedure/state"
	"matchmark/procedure/statics"
)

// Standing is how firmly what was set down stands.
type Standing struct {
	// Edge is how far its centre of mass is inside the nearest side of its feet, in millimetres; below zero when it is outside, and it falls.
	Edge float64
	// Angle is the tilt in degrees at which it tips over, Angled true when heights are stated and it is known.
	Angle  float64
	Angled bool
}

// Shown is the angle for people, to a tenth and never rounded up to a limit that it does not reach.
func (s Standing) Shown() float64 { return math.Floor(s.Angle*10) / 10 }

// StandingOf returns how a part that was set down stands, with what came with it: on the places of the act that set it down, or on its feet.
// Known is false when neither is stated, nor the centre of mass of all that is heavy, or when a prop keeps it from tipping.
//
// A part with a footprint and a height instead has its centre of mass over the middle.
func StandingOf(s *state.State, p *state.Part) (st Standing, known bool) {
	at := s.Part(p)
	if at.Is != state.Down || slices.ContainsFunc(at.On, func(x *state.Support) bool { return x.Ability().Tipping }) {
		return st, false
	}
	feet := p.Feet
	for _, x := range at.On {
		if x.At != "" && x.Ability().Below {
			feet = x.At
		}
	}
	if at.DownBy != nil && at.DownBy.At != "" {
		feet = at.DownBy.At
	}
	if feet == "" && p.Footprint != "" {
		return onFootprint(p)
	}
	var a statics.Arrangement
	line := feet.Line()
	for _, q := range s.Group(p).Parts {
		centre := q.Centre.Points()
		switch {
		case centre == nil && q.Kg >= state.RestKg, centre == nil && q == p:
			return st, false
		case centre == nil:
			continue // light, and on the rest
		}
		line = line || q.Centre.Line()
		mass := big.NewRat(1, 1) // of a part whose mass is not stated only the place counts
		if q.Kg > 0 {
			mass.SetFloat64(q.Kg)
		}
		a.Bodies = append(a.Bodies, statics.Body{Mass: mass, Centre: centre[0]})
	}
	places := feet.Points()
	all := make([]int, len(a.Bodies))
	for i := range all {
		all[i] = i
	}
	centre, ok := a.Centre(all)
	if !ok || len(places) < 2 {
		return st, false
	}
	if line {
		low, high := places[0].X, places[0].X
		for _, f := range places {
			if f.X.Cmp(low) < 0 {
				low = f.X
			}
			if f.X.Cmp(high) > 0 {
				high = f.X
			}
		}
		left, _ := new(big.Rat).Sub(centre.X, low).Float64()
		right, _ := new(big.Rat).Sub(high, centre.X).Float64()
		return Standing{Edge: min(left, right)}, true
	}
	height := new(big.Rat).Set(centre.Z)
	top := places[0].Z
	for _, f := range places {
		if f.Z.Cmp(top) > 0 {
			top = f.Z
		}
	}
	stands, ok := statics.Stands(centre, places, height.Sub(height, top))
	return Standing{Edge: stands.Edge, Angle: stands.Angle, Angled: true}, ok
}

// onFootprint is how a part stands whose centre of mass is over the middle of its footprint.
func onFootprint(p *state.Part) (st Standing, known bool) {
	length, width := p.Footprint.Sides()
	if length.Cmp(width) < 0 {
		width = length
	}
	half, _ := new(big.Rat).Quo(width, big.NewRat(2, 1)).Float64()
	height := p.Height.Float("mm")
	if p.Height.IsZero() || height <= 0 {
		return st, false
	}
	return Standing{Edge: half, Angle: math.Atan2(half, height) * 180 / math.Pi, Angled: true}, true
}
