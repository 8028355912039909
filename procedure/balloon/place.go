package balloon

import (
	"math"
	"slices"

	"matchmark/procedure"
)

// The box, in CSS pixels, that a figure gets on the smallest screen that pages are made for (a tablet held sideways,
// the text beside the figure). Balloons are sized so that they can be read and tapped there.
const (
	boxWidth  = 430
	boxHeight = 340
)

// Radius is that of a balloon that a step acts on, in CSS pixels in that box.
const Radius = 17

// Unit is how many units of a picture of that size one CSS pixel is in the smallest box.
func Unit(width, height float64) float64 { return math.Max(width/boxWidth, height/boxHeight) }

// Beside is where a balloon stands in the row of one that has its leader: to the right of it, or to the left where the
// picture ends. n counts the balloons before it.
func Beside(first procedure.Point, n int, width, height float64) procedure.Point {
	step := 2 * Radius * Unit(width, height)
	if first.X > width/2 {
		step = -step
	}
	return procedure.Point{X: first.X + float64(n)*step, Y: first.Y}
}

// Place returns the balloons of a figure on a picture of that size. Those whose author leaves their place out get one, so
// that leaders do not cross and lie on no other balloon where that can be helped, and are short. The same figure always
// gets the same places.
func Place(all []procedure.Balloon, width, height float64) []procedure.Balloon {
	if !slices.ContainsFunc(all, func(b procedure.Balloon) bool { return b.Free }) {
		return all
	}
	f := &procedure.Figure{Balloons: slices.Clone(all), Width: width, Height: height}
	p := &placing{f: f, unit: Unit(width, height)}
	for i := range f.Balloons {
		if b := &f.Balloons[i]; b.Beside == 0 {
			p.rows = append(p.rows, row{first: b, size: 1, placed: !b.Free})
		} else if n := len(p.rows); n > 0 {
			p.rows[n-1].size++
		}
	}
	for i := range p.rows {
		if p.rows[i].first.Free {
			p.best(&p.rows[i])
		}
	}
	// Whoever came first did not know the others: each looks once more, until nobody finds better.
	for again, round := true, 0; again && round < 4; round++ {
		again = false
		for i := range p.rows {
			again = p.rows[i].first.Free && p.best(&p.rows[i]) || again
		}
	}
	for i := range f.Balloons {
		if b := &f.Balloons[i]; b.Free && b.Beside > 0 {
			b.Label = f.Balloons[i-b.Beside].Label
		}
	}
	return f.Balloons
}

// placing is a figure while its balloons are placed.
type placing struct {
	f    *procedure.Figure
	unit float64
	rows []row
}

// row is the balloons on one leader.
type row struct {
	first  *procedure.Balloon
	size   int
	placed bool
}

const (
	directions = 24
	// Costs, in lengths of a leader in CSS pixels: a crossing is worse than any detour.
	crossing, covering, outside = 2000, 1000, 1e6
)

// best moves a row to the place that costs least, and reports whether that is another one.
func (p *placing) best(r *row) bool {
	before, least := r.first.Label, math.Inf(1)
	if r.placed {
		least = p.cost(r)
	}
	best := before
	middle := center(r.first.Targets)
	for _, away := range []float64{50, 75, 105, 140} {
		for n := range directions {
			angle := 2 * math.Pi * float64(n) / directions
			r.first.Label = procedure.Point{
				X: math.Round((middle.X+math.Cos(angle)*away*p.unit)*10) / 10,
				Y: math.Round((middle.Y-math.Sin(angle)*away*p.unit)*10) / 10,
			}
			if cost := p.cost(r); cost < least-1e-6 {
				best, least = r.first.Label, cost
			}
		}
	}
	r.first.Label, r.placed = best, true
	return best != before
}

// cost says how bad the place of a row is beside the others that are placed.
func (p *placing) cost(r *row) float64 {
	cost, room := 0.0, 1.3*Radius*p.unit
	for n := range r.size {
		at := p.at(r, n)
		if at.X < room || at.Y < room || at.X > p.f.Width-room || at.Y > p.f.Height-room {
			cost += outside
		}
	}
	for _, end := range r.first.Targets {
		cost += math.Hypot(end.X-r.first.Label.X, end.Y-r.first.Label.Y) / p.unit
	}
	for i := range p.rows {
		o := &p.rows[i]
		if o == r {
			for _, end := range r.first.Targets {
				cost += p.covers(r, end, end)
			}
			continue
		}
		for _, end := range o.first.Targets { // known, though its balloon may not be placed yet
			cost += p.covers(r, end, end)
		}
		if !o.placed {
			continue
		}
		for _, a := range r.first.Targets {
			for _, b := range o.first.Targets {
				if Cross(r.first.Label, a, o.first.Label, b) {
					cost += crossing
				}
			}
			cost += p.covers(o, r.first.Label, a)
		}
		for _, b := range o.first.Targets {
			cost += p.covers(r, o.first.Label, b)
		}
		for n := range r.size {
			at := p.at(r, n)
			for m := range o.size {
				if other := p.at(o, m); math.Hypot(at.X-other.X, at.Y-other.Y) < 2.2*Radius*p.unit {
					cost += covering
				}
			}
		}
	}
	return cost
}

// covers is what it costs that a line runs through a balloon of a row.
func (p *placing) covers(r *row, from, to procedure.Point) (cost float64) {
	for n := range r.size {
		if apart(p.at(r, n), from, to) < 1.2*Radius*p.unit {
			cost += covering
		}
	}
	return cost
}

func (p *placing) at(r *row, n int) procedure.Point {
	return Beside(r.first.Label, n, p.f.Width, p.f.Height)
}

// center is the middle of some points.
func center(all []procedure.Point) (c procedure.Point) {
	for _, p := range all {
		c.X += p.X / float64(len(all))
		c.Y += p.Y / float64(len(all))
	}
	return c
}

// apart is how far a point is from a line that ends at two points.
func apart(p, from, to procedure.Point) float64 {
	dx, dy := to.X-from.X, to.Y-from.Y
	along := 0.0
	if length := dx*dx + dy*dy; length > 0 {
		along = math.Max(0, math.Min(1, ((p.X-from.X)*dx+(p.Y-from.Y)*dy)/length))
	}
	return math.Hypot(from.X+along*dx-p.X, from.Y+along*dy-p.Y)
}

// Cross reports whether two lines cross; lines that only touch do not.
func Cross(a, b, c, d procedure.Point) bool {
	return side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0
}

// side says on which side of a line a point lies: 1 or -1, and 0 on the line itself.
func side(a, b, p procedure.Point) int {
	switch x := (b.X-a.X)*(p.Y-a.Y) - (b.Y-a.Y)*(p.X-a.X); {
	case x > 1e-9:
		return 1
	case x < -1e-9:
		return -1
	}
	return 0
}

// Crossed are two balloons whose leaders cross, and would not if they changed places.
type Crossed struct{ A, B *procedure.Balloon }

// Crossings lists the pairs of balloons whose leaders cross, where fewer leaders cross once the two have changed places.
// What cannot be helped in this way is not listed.
func Crossings(f *procedure.Figure) (out []Crossed) {
	count := func() (n int) {
		for i := range f.Balloons {
			for j := range i {
				n += between(&f.Balloons[i], &f.Balloons[j])
			}
		}
		return n
	}
	var now int
	for i := range f.Balloons {
		for j := range i {
			a, b := &f.Balloons[j], &f.Balloons[i]
			if between(a, b) == 0 {
				continue
			}
			if now == 0 {
				now = count()
			}
			a.Label, b.Label = b.Label, a.Label
			if count() < now {
				out = append(out, Crossed{a, b})
			}
			a.Label, b.Label = b.Label, a.Label
		}
	}
	return out
}

// between counts the leaders of one balloon that cross one of another.
func between(a, b *procedure.Balloon) (n int) {
	for _, p := range a.Targets {
		for _, q := range b.Targets {
			if Cross(a.Label, p, b.Label, q) {
				n++
			}
		}
	}
	return n
}
