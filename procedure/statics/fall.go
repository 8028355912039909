package statics

import (
	"math"
	"math/big"
	"slices"
)

// How says in which way bodies give way.
type How int

// The ways of giving way.
const (
	Drops  How = iota // nothing holds it up
	Tips              // it turns over what pushes it or over a joint
	Swings            // it hangs, and not under its hook
	Slides            // it moves aside: nothing holds it against a slanted force
)

// Fall is a motion in which no support has to pull, no rope to push, no joint to give, and weight comes down.
type Fall struct {
	How How
	// Bodies are the indices of those that move.
	Bodies []int
	// Over are the indices of the ties that the bodies turn about.
	Over []int
	// Centre is the centre of mass of the bodies that move.
	Centre Point
	// Outside is how far the centre of mass lies outside what could hold it, level, in millimetres; 0 when that is not known.
	Outside float64
	// Toward is which way the centre of mass goes, level; not set when it goes straight down.
	Toward *Point
}

// motion is how a body moves: the speed of what is at the origin, and how it turns.
type motion struct{ speed, turn Point }

// at is the speed of a place of the body.
func (m motion) at(p Point) Point {
	c := m.turn.Cross(p)
	plus := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Add(a, b) }
	return Point{plus(m.speed.X, c.X), plus(m.speed.Y, c.Y), plus(m.speed.Z, c.Z)}
}

func (m motion) rests() bool { return isZero(m.speed) && isZero(m.turn) }

func isZero(p Point) bool { return p.X.Sign() == 0 && p.Y.Sign() == 0 && p.Z.Sign() == 0 }

// fall reads the proof that there is no balance as a motion.
func (a *Arrangement) fall(m *model, proof []*big.Rat) *Fall {
	if f := a.edge(); f != nil {
		return f
	}
	motions := a.motions(proof)
	f := &Fall{}
	for i := range motions {
		if !motions[i].rests() {
			f.Bodies = append(f.Bodies, i)
		}
	}
	f.Centre, _ = a.Centre(f.Bodies)
	hangs, held, turns := true, false, false
	for i := range a.Ties {
		t := &a.Ties[i]
		if !slices.Contains(f.Bodies, t.Body) && !slices.Contains(f.Bodies, t.Other) {
			continue
		}
		held = true
		hangs = hangs && t.Kind == Pull
		if v := a.parting(motions, t); v.Dot(a.along(t)).Sign() == 0 {
			f.Over = append(f.Over, i)
			turns = turns || isZero(v) // what slides moves at each tie that it keeps to
		}
	}
	switch {
	case held && hangs:
		f.How = Swings
	case turns:
		f.How = Tips
		if len(f.Over) == 1 {
			f.Outside = a.level(f.Centre.From(a.Ties[f.Over[0]].At)).Length()
		}
	case len(f.Over) > 0:
		f.How = Slides
	}
	return f
}

// motions turns the numbers of a proof, one for each equation, into motions; with the sign with which weights come down.
func (a *Arrangement) motions(proof []*big.Rat) []motion {
	out := make([]motion, len(a.Bodies))
	axes := a.axes()
	for i := range out {
		out[i] = motion{At(0, 0, 0), At(0, 0, 0)}
		for k, x := range axes {
			n := proof[i*len(axes)+k]
			to := &out[i].speed
			if x.turn {
				to = &out[i].turn
			}
			for _, c := range []struct{ sum, part *big.Rat }{{to.X, x.force.X}, {to.Y, x.force.Y}, {to.Z, x.force.Z}} {
				c.sum.Sub(c.sum, new(big.Rat).Mul(n, c.part))
			}
		}
	}
	return out
}

// parting is the speed with which the two sides of a tie part.
func (a *Arrangement) parting(motions []motion, t *Tie) Point {
	v := motions[t.Body].at(t.At)
	if t.Other != Ground {
		v = v.From(motions[t.Other].at(t.At))
	}
	return v
}

// along is which way a tie acts first.
func (a *Arrangement) along(t *Tie) Point {
	if t.OneWay() && !a.Line {
		return t.Along
	}
	return Up
}

// edge finds the fall of one rigid body, or of several that are clamped to each other, on ties that
// all act straight up: it turns about the side of their outline that is nearest to its centre of mass. Nil for anything else.
func (a *Arrangement) edge() *Fall {
	bodies := a.all()
	holding := a.holding(bodies)
	for i := range a.Ties {
		t := &a.Ties[i]
		inside := t.Other != Ground
		if inside && t.Kind != Fixed || !inside && (!t.OneWay() || !a.Line && (t.Along.X.Sign() != 0 || t.Along.Y.Sign() != 0 || t.Along.Z.Sign() <= 0)) {
			return nil
		}
	}
	if a.Down != nil || !a.rigid() {
		return nil
	}
	centre, ok := a.Centre(bodies)
	if !ok {
		return nil
	}
	f := &Fall{Bodies: bodies, Centre: centre}
	if len(holding) == 0 {
		return f
	}
	near, over := a.nearest(centre, holding)
	way := a.level(centre.From(near))
	f.Outside, f.Over, f.Toward = way.Length(), over, &way
	f.How = Swings
	for _, i := range over {
		if a.Ties[i].Kind == Push {
			f.How = Tips
		}
	}
	return f
}

// rigid reports whether fixed joints make one body of all.
func (a *Arrangement) rigid() bool {
	group := []int{0}
	for i := 0; i < len(group); i++ {
		for _, t := range a.Ties {
			if t.Kind != Fixed || t.Other == Ground {
				continue
			}
			for _, pair := range [][2]int{{t.Body, t.Other}, {t.Other, t.Body}} {
				if pair[0] == group[i] && !slices.Contains(group, pair[1]) {
					group = append(group, pair[1])
				}
			}
		}
	}
	return len(group) == len(a.Bodies)
}

// level is a place without its height; along a line, without its width too.
func (a *Arrangement) level(p Point) Point {
	out := Point{p.X, p.Y, new(big.Rat)}
	if a.Line {
		out.Y = new(big.Rat)
	}
	return out
}

// nearest returns the place in the outline of some ties that is nearest to a place outside it, level, and
// the ties between which it lies.
func (a *Arrangement) nearest(to Point, ties []int) (near Point, over []int) {
	to = a.level(to)
	var best *big.Rat
	try := func(p Point, of ...int) {
		d := to.From(p)
		if way := d.Dot(d); best == nil || way.Cmp(best) < 0 {
			best, near, over = way, p, of
		}
	}
	for _, i := range ties {
		try(a.level(a.Ties[i].At), i)
	}
	for n, i := range ties {
		for _, j := range ties[n+1:] {
			p, q := a.level(a.Ties[i].At), a.level(a.Ties[j].At)
			if foot, inside := footOn(p, q, to); inside {
				try(foot, i, j)
			}
		}
	}
	return near, over
}

// Within returns the place, level, between some places that is nearest to another: that one itself when it lies between them.
func Within(to Point, places []Point, line bool) Point {
	a := Arrangement{Line: line, Bodies: []Body{{Mass: big.NewRat(1, 1), Centre: to}}}
	var all []int
	for i, p := range places {
		a.Ties = append(a.Ties, Tie{Kind: Push, Other: Ground, At: p, Along: Up})
		all = append(all, i)
	}
	if len(places) == 0 || a.Solve().Holds {
		return a.level(to)
	}
	near, _ := a.nearest(to, all)
	return near
}

// footOn returns the place of the line from p to q that is nearest to a place; inside is false when that lies beyond its ends.
func footOn(p, q, to Point) (foot Point, inside bool) {
	side := q.From(p)
	length := side.Dot(side)
	if length.Sign() == 0 {
		return p, false
	}
	part := new(big.Rat).Quo(to.From(p).Dot(side), length)
	if part.Sign() <= 0 || part.Cmp(big.NewRat(1, 1)) >= 0 {
		return p, false
	}
	on := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Add(a, new(big.Rat).Mul(part, b)) }
	return Point{on(p.X, side.X), on(p.Y, side.Y), on(p.Z, side.Z)}, true
}

// Hang is how a body hangs on one hook, free of anything else.
type Hang struct {
	// Off is how far the hook is from straight over the centre of mass, in millimetres, in the body's level pose.
	Off float64
	// Tilt is the angle at which the body comes to rest, in degrees. With Off 0 it is 0.
	Tilt float64
	// Above is false when the hook is not above the centre of mass: the body turns over.
	Above bool
	// Loads are those of the legs, in the order of the places given, between their limits; nil when the legs cannot hold it.
	Loads []Range
}

// HangOn returns how the bodies hang when all legs, from the places given, meet in one hook: tilted until the centre of mass
// is under the hook. The tilt is atan(Off / height of the hook over the centre of mass); loads are those in the tilted pose.
// Bodies that joints do not make one are taken as one.
//
// Source: statics of a body that hangs on one point.
func (a *Arrangement) HangOn(hook Point, legs []Point) Hang {
	centre, ok := a.Centre(a.all())
	if !ok {
		return Hang{}
	}
	way := centre.From(hook)
	h := Hang{Off: a.level(way).Length(), Above: way.Z.Sign() < 0}
	if !h.Above {
		return h
	}
	h.Tilt = math.Atan2(h.Off, -float(way.Z)) * 180 / math.Pi
	one := Arrangement{Bodies: []Body{{Mass: a.Mass(), Centre: centre}}, Down: &way}
	for _, p := range legs {
		one.Ties = append(one.Ties, Tie{Kind: Pull, Other: Ground, At: p, Along: hook.From(p)})
	}
	if b := one.Solve(); b.Holds {
		h.Loads = b.Loads
	}
	return h
}

// Standing is how firmly a body stands.
type Standing struct {
	// Edge is how far its centre of mass is inside the nearest side of its footprint, in millimetres; below zero when it is outside, and it falls.
	Edge float64
	// Over are the indices of the feet between which that side runs.
	Over [2]int
	// Angle is the tilt, in degrees, at which it tips over that side: atan(Edge / height).
	Angle float64
	// Passes10 is true when it tips only at 10 degrees of tilt or more.
	Passes10 bool
}

// Stands returns how a body stands on feet of which three do not lie in a line. The height is that of its centre of mass
// over the feet, in millimetres. Ok is false when the feet span no area, or the height is not above zero.
//
// Source: tan(angle) = distance of the centre of mass from the edge / its height, statics of a rigid body.
func Stands(centre Point, feet []Point, height *big.Rat) (s Standing, ok bool) {
	centre.Z = new(big.Rat)
	flat := make([]Point, len(feet))
	for i, p := range feet {
		flat[i] = Point{p.X, p.Y, new(big.Rat)}
	}
	if height.Sign() <= 0 {
		return s, false
	}
	area := false
	least := math.Inf(1)
	for i, p := range flat {
		for j, q := range flat {
			side := q.From(p)
			if isZero(side) {
				continue
			}
			outline, wide := true, false
			for _, r := range flat {
				turn := side.Cross(r.From(p)).Z.Sign()
				outline = outline && turn >= 0
				wide = wide || turn > 0
			}
			if !outline || !wide {
				continue
			}
			area = true
			edge := float(side.Cross(centre.From(p)).Z) / side.Length()
			if edge < least {
				least = edge
				s = Standing{Edge: edge, Over: [2]int{i, j}}
			}
		}
	}
	if !area {
		return s, false
	}
	s.Angle = math.Atan2(s.Edge, float(height)) * 180 / math.Pi
	s.Passes10 = s.Angle >= 10
	return s, true
}
