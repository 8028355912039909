// Package statics finds out whether bodies stay where they are: rigid bodies with a weight, supports that
// only push, ropes that only pull, and joints that carry both ways. It says whether any set of loads balances
// them, between which limits the load of each tie lies, and, when there is no balance, what moves.
//
// All numbers are exact (math/big), so that the answer is the same on every processor, and a body whose
// centre of mass is right over its support neither falls nor has a margin. Friction is left out:
// what only friction holds is not held.
//
// Lengths are in millimetres, loads in kilograms: the mass whose weight presses or pulls.
package statics

import (
	"math"
	"math/big"
	"slices"
)

// Point is a place, or a direction: x and y are level, z points up.
type Point struct{ X, Y, Z *big.Rat }

// At returns the place with whole coordinates.
func At(x, y, z int64) Point {
	return Point{big.NewRat(x, 1), big.NewRat(y, 1), big.NewRat(z, 1)}
}

// Up is the direction of what pushes up and of a rope that hangs plumb.
var Up = At(0, 0, 1)

// From returns the way from q to p.
func (p Point) From(q Point) Point {
	minus := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Sub(a, b) }
	return Point{minus(p.X, q.X), minus(p.Y, q.Y), minus(p.Z, q.Z)}
}

// Dot is the scalar product.
func (p Point) Dot(q Point) *big.Rat {
	return sumOf([]*big.Rat{p.X, p.Y, p.Z}, []*big.Rat{q.X, q.Y, q.Z})
}

// Cross is the vector product.
func (p Point) Cross(q Point) Point {
	minus := func(a, b, c, d *big.Rat) *big.Rat {
		return new(big.Rat).Sub(new(big.Rat).Mul(a, b), new(big.Rat).Mul(c, d))
	}
	return Point{minus(p.Y, q.Z, p.Z, q.Y), minus(p.Z, q.X, p.X, q.Z), minus(p.X, q.Y, p.Y, q.X)}
}

// Length is how long the way is.
func (p Point) Length() float64 { return math.Sqrt(float(p.Dot(p))) }

// Equal reports whether the two are one place.
func (p Point) Equal(q Point) bool {
	return p.X.Cmp(q.X) == 0 && p.Y.Cmp(q.Y) == 0 && p.Z.Cmp(q.Z) == 0
}

func float(x *big.Rat) float64 { f, _ := x.Float64(); return f }

// Body is a rigid body.
type Body struct {
	Name string
	// Mass is in kilograms.
	Mass   *big.Rat
	Centre Point // its centre of mass
}

// Kind says what a tie can do.
type Kind int

// The kinds of tie.
const (
	// Push pushes the body along Along and never pulls: a jack, a stand, a foot.
	Push Kind = iota
	// Pull pulls the body along Along and never pushes: a rope, a chain, a hook.
	Pull
	// Pin carries both ways, and lets the body turn: a pin, one bolt.
	Pin
	// Fixed carries both ways and holds the angle too: a flange.
	Fixed
)

// Ground is the body on the other side of what stands still by itself: the floor, a frame, a hoist.
const Ground = -1

// Tie is what holds a body: a support, a rope or a joint.
type Tie struct {
	Name string
	Kind Kind
	// Body is the index of the body that it holds, Other that of the body on its other side, or Ground.
	Body, Other int
	At          Point
	// Along is which way a Push or a Pull acts on Body; for a rope that runs from At to a hook it is the way there.
	Along Point
	// Rated is the load in kilograms that a joint may carry, along each axis, or a support or rope whose Along is 1 long; nil when it has no limit.
	Rated *big.Rat
}

// OneWay reports whether the tie only pushes or only pulls.
func (t *Tie) OneWay() bool { return t.Kind == Push || t.Kind == Pull }

// Arrangement is a number of bodies with what holds them.
type Arrangement struct {
	Bodies []Body
	Ties   []Tie
	// Line is true when places are known along x only: then loads are vertical, and bodies turn in one plane.
	Line bool
	// Down is which way weights pull; straight down when it is not set. Its length does not matter.
	Down *Point
}

// Range is the load of a tie, in kilograms, over all balances: of a joint its vertical load, below zero where it holds down.
type Range struct {
	Least, Most float64
	// NoLeast and NoMost are set when there is no limit: two joints can be strained against each other.
	NoLeast, NoMost bool
}

// Known reports whether the balance leaves the load no choice.
func (r Range) Known() bool { return !r.NoLeast && !r.NoMost && r.Most-r.Least < 1e-9*max(1, r.Most) }

// Balance is what holds an arrangement, or how it gives way.
type Balance struct {
	// Holds is true when some set of loads balances all bodies, joints within their ratings.
	Holds bool
	// Loads are those of the ties, in their order; nil when nothing balances.
	Loads []Range
	// Beyond is set when a balance needs more of joints than they are rated for: their indices. None means that they do not do it together.
	Overrated bool
	Beyond    []int
	// Fall is how the bodies move when nothing balances them; nil otherwise.
	Fall *Fall
}

// Solve finds the balance of an arrangement. It is not to be changed: whoever asks for the same arrangement gets the same one.
func (a *Arrangement) Solve() Balance {
	key := a.key()
	if b, known := solved.get(key); known {
		return b
	}
	b := a.balance()
	solved.put(key, b)
	return b
}

func (a *Arrangement) balance() Balance {
	m := a.model(true)
	t, _ := m.solve()
	if t != nil {
		t.point()
		return Balance{Holds: true, Loads: m.ranges(t)}
	}
	m = a.model(false)
	t, proof := m.solve()
	if t == nil {
		return Balance{Fall: a.fall(m, proof)}
	}
	t.point()
	b := Balance{Overrated: true, Loads: m.ranges(t)}
	for i := range a.Ties {
		if a.Ties[i].Rated == nil {
			continue
		}
		for _, f := range m.forces[i] {
			if least := t.most(m.weights(f, big.NewRat(-1, 1), big.NewRat(-1, 1))); least != nil && new(big.Rat).Neg(least).Cmp(a.Ties[i].Rated) > 0 {
				b.Beyond = append(b.Beyond, i)
				break
			}
		}
	}
	return b
}

// force is one component of what a tie does: a variable of the system, and for what acts both ways a second one that counts against it.
type force struct {
	plus, minus int
	// along is what one unit of it is: a force in kilograms on Body, or a moment.
	along  Point
	moment bool
}

// model is an arrangement as equations: force and moment of each body.
type model struct {
	*system
	of     *Arrangement
	forces [][]force // of each tie
}

func (a *Arrangement) model(rated bool) *model {
	m := &model{of: a, forces: make([][]force, len(a.Ties))}
	columns, limits := 0, 0
	for i := range a.Ties {
		for _, f := range a.forcesOf(&a.Ties[i]) {
			f.plus, f.minus = columns, -1
			columns++
			if !a.Ties[i].OneWay() {
				f.minus = columns
				columns++
			}
			if rated && a.Ties[i].Rated != nil && !f.moment {
				limits++
			}
			m.forces[i] = append(m.forces[i], f)
		}
	}
	spare := columns // what a limited force leaves of its rating
	m.system = newSystem(columns + limits)
	for i := range a.Bodies {
		m.body(i)
	}
	for i := range a.Ties {
		for _, f := range m.forces[i] {
			if rated && a.Ties[i].Rated != nil && !f.moment {
				row := m.row(a.Ties[i].Rated)
				row[f.plus].SetInt64(1)
				if f.minus >= 0 {
					row[f.minus].SetInt64(1)
				}
				row[spare].SetInt64(1)
				spare++
			}
		}
	}
	return m
}

// forcesOf returns the components of what a tie does.
func (a *Arrangement) forcesOf(t *Tie) []force {
	switch {
	case t.OneWay() && a.Line:
		return []force{{along: Up}}
	case t.OneWay():
		return []force{{along: t.Along}}
	}
	out := []force{{along: Up}}
	turns := []Point{At(0, 1, 0)}
	if !a.Line {
		out = append(out, force{along: At(1, 0, 0)}, force{along: At(0, 1, 0)})
		turns = append(turns, At(1, 0, 0), At(0, 0, 1))
	}
	if t.Kind == Fixed {
		for _, axis := range turns {
			out = append(out, force{along: axis, moment: true})
		}
	}
	return out
}

// body writes the equations of one body: what ties do is as much as its weight, the other way.
func (m *model) body(i int) {
	weight := m.of.weight(&m.of.Bodies[i])
	turning := m.of.Bodies[i].Centre.Cross(weight)
	for _, axis := range m.of.axes() {
		push := m.row(new(big.Rat).Neg(weight.Dot(axis.force)))
		if axis.turn {
			m.right[len(m.right)-1].Neg(turning.Dot(axis.force))
		}
		for k := range m.of.Ties {
			t := &m.of.Ties[k]
			side := int64(0)
			switch i {
			case t.Body:
				side = 1
			case t.Other:
				side = -1
			}
			if side == 0 {
				continue
			}
			for _, f := range m.forces[k] {
				x := f.along.Dot(axis.force)
				switch {
				case axis.turn && !f.moment:
					x = t.At.Cross(f.along).Dot(axis.force)
				case axis.turn != f.moment:
					continue
				}
				x.Mul(x, big.NewRat(side, 1))
				push[f.plus].Set(x)
				if f.minus >= 0 {
					push[f.minus].Neg(x)
				}
			}
		}
	}
}

// axis is one equation of a body: force along it, or moment about it.
type axis struct {
	force Point
	turn  bool
}

func (a *Arrangement) axes() []axis {
	x, y := At(1, 0, 0), At(0, 1, 0)
	if a.Line {
		return []axis{{Up, false}, {y, true}}
	}
	return []axis{{x, false}, {y, false}, {Up, false}, {x, true}, {y, true}, {Up, true}}
}

// weight is the force of a body's weight. Along a slanted Down it is in units of Down's length.
func (a *Arrangement) weight(b *Body) Point {
	down := At(0, 0, -1)
	if a.Down != nil {
		down = *a.Down
	}
	times := func(x *big.Rat) *big.Rat { return new(big.Rat).Mul(x, b.Mass) }
	return Point{times(down.X), times(down.Y), times(down.Z)}
}

// weights are those of a sum that has one force's two variables in it.
func (m *model) weights(f force, plus, minus *big.Rat) []*big.Rat {
	w := zeros(m.columns)
	w[f.plus].Set(plus)
	if f.minus >= 0 {
		w[f.minus].Set(minus)
	}
	return w
}

// ranges finds the limits of each tie's load.
func (m *model) ranges(t *tableau) []Range {
	one, less := big.NewRat(1, 1), big.NewRat(-1, 1)
	out := make([]Range, len(m.of.Ties))
	unit := 1.0
	if m.of.Down != nil {
		unit = 1 / m.of.Down.Length()
	}
	for i := range m.of.Ties {
		f := m.forces[i][0]
		length := f.along.Length() * unit
		if most := t.most(m.weights(f, one, less)); most != nil {
			out[i].Most = float(most) * length
		} else {
			out[i].NoMost = true
		}
		if least := t.most(m.weights(f, less, one)); least != nil {
			out[i].Least = 0 - float(least)*length // no negative zero
		} else {
			out[i].NoLeast = true
		}
	}
	return out
}

// Mass is that of all bodies together, in kilograms.
func (a *Arrangement) Mass() *big.Rat {
	sum := new(big.Rat)
	for i := range a.Bodies {
		sum.Add(sum, a.Bodies[i].Mass)
	}
	return sum
}

// Centre is the centre of mass of some bodies; ok is false when they weigh nothing.
func (a *Arrangement) Centre(bodies []int) (centre Point, ok bool) {
	mass, sum := new(big.Rat), zeros(3)
	for _, i := range bodies {
		b := &a.Bodies[i]
		mass.Add(mass, b.Mass)
		for k, x := range []*big.Rat{b.Centre.X, b.Centre.Y, b.Centre.Z} {
			sum[k].Add(sum[k], new(big.Rat).Mul(x, b.Mass))
		}
	}
	if mass.Sign() == 0 {
		return Point{}, false
	}
	for _, x := range sum {
		x.Quo(x, mass)
	}
	return Point{sum[0], sum[1], sum[2]}, true
}

// all lists the indices of all bodies.
func (a *Arrangement) all() []int {
	out := make([]int, len(a.Bodies))
	for i := range out {
		out[i] = i
	}
	return out
}

// holding returns the indices of the ties that hold one of the bodies against what is none of them.
func (a *Arrangement) holding(bodies []int) (out []int) {
	for i := range a.Ties {
		t := &a.Ties[i]
		if slices.Contains(bodies, t.Body) != (t.Other != Ground && slices.Contains(bodies, t.Other)) {
			out = append(out, i)
		}
	}
	return out
}
