package order

import (
	"slices"

	"matchmark/procedure/lifting"
	"matchmark/procedure/loads"
	"matchmark/procedure/state"
)

// handsKg returns what the people of a step hold by hand while a fastener comes
// out or goes in, in kilograms: the mechanic 10 kg with one hand, each helper
// 23 kg with both. A team holds less than the sum of these: see lifting.TeamShare. More
// than three people are taken to hold what three do.
//
// Source: 23 kg is the load constant of the revised NIOSH lifting equation, DHHS (NIOSH) 94-110; 10 kg is common practice, no source.
func handsKg(people int) float64 {
	people = min(max(people, 1), lifting.MostPeople)
	share, _ := lifting.TeamShare(people)
	return share * (state.RestKg + 23*float64(people-1))
}

// rounding is how far a sum of masses may be above a capacity by rounding alone, in kilograms.
const rounding = 1e-6

// overload is what is too much for some supports.
type overload struct {
	supports []*state.Support
	load     float64
	capacity float64
	// leg is true when the load is that on one leg.
	leg bool
}

// overloaded returns the supports under or over the part's group that carry more than they are rated for, as far as that
// can be said without places: those on a part have at least that part, and all together have all that hangs together.
// Stands of one kind share what is set down on them, and different kinds carry it one after the other: a tray on a pallet. Common practice, no source.
func overloaded(s *state.State, p *state.Part) *overload {
	at := s.Part(p)
	if at.Is == state.Down {
		return tooMuch(s, slices.DeleteFunc(slices.Clone(at.On), func(x *state.Support) bool { return !x.Ability().Below }))
	}
	sets := carriedTogether(s, p)
	if sets == nil {
		return nil
	}
	for _, set := range append(sets.each(), sets) {
		if o := set.tooMuch(); o != nil {
			return o
		}
	}
	return nil
}

// tooMuch compares stands, kind by kind, with the mass of what stands on them.
func tooMuch(s *state.State, stands []*state.Support) *overload {
	for i, x := range stands {
		if slices.ContainsFunc(stands[:i], func(y *state.Support) bool { return y.Kind == x.Kind }) {
			continue
		}
		o := &overload{}
		var borne []*state.Part
		known := true
		for _, y := range stands {
			if y.Kind != x.Kind {
				continue
			}
			o.supports = append(o.supports, y)
			o.capacity += loads.Rated(y)
			known = known && !y.Capacity.IsZero()
			for _, p := range s.StandingOn(y) {
				if !slices.Contains(borne, p) {
					borne = append(borne, p)
					o.load += p.Kg
				}
			}
		}
		if known && o.load > o.capacity+rounding {
			return o
		}
	}
	return nil
}

// carrying is a number of parts, with the lines that lead to all that carries them.
type carrying struct {
	parts []*state.Part
	lines []loads.Line
}

// carriedTogether returns what the supports on the part's group have to carry: the group, and the groups of other parts that
// share a support with it. Of a group that fasteners hold too, the parts that supports are on count. Nil when no support is on it.
func carriedTogether(s *state.State, p *state.Part) *carrying {
	c := &carrying{}
	groups := []*state.Part{p}
	for i := 0; i < len(groups); i++ {
		at, g := s.Part(groups[i]).Is, s.Group(groups[i])
		if at == state.Down || at == state.Off {
			continue
		}
		for _, q := range g.Parts {
			lines := loads.LinesOf(s, q)
			if slices.Contains(c.parts, q) || len(lines) == 0 && g.Anchored && at == state.InPlace {
				continue
			}
			c.parts, c.lines = append(c.parts, q), append(c.lines, lines...)
		}
		for _, x := range g.Carriers {
			for _, q := range s.CarriedBy(x) {
				if !slices.Contains(groups, q) && !g.Has(q) {
					groups = append(groups, q)
				}
			}
		}
	}
	if len(c.lines) == 0 {
		return nil
	}
	return c
}

// each cuts what is carried together into parts that share no support.
func (c *carrying) each() (out []*carrying) {
	var done []*state.Part
	for _, p := range c.parts {
		if slices.Contains(done, p) || !slices.ContainsFunc(c.lines, func(l loads.Line) bool { return l.Part == p }) {
			continue
		}
		one := &carrying{parts: []*state.Part{p}}
		for i := 0; i < len(one.parts); i++ {
			for _, l := range c.lines {
				if l.Part != one.parts[i] {
					continue
				}
				one.lines = append(one.lines, l)
				for _, k := range c.lines {
					if k.Supports[0] == l.Supports[0] && !slices.Contains(one.parts, k.Part) {
						one.parts = append(one.parts, k.Part)
					}
				}
			}
		}
		done = append(done, one.parts...)
		out = append(out, one)
	}
	return out
}

// tooMuch compares the weakest support of each line with the mass of the parts. A support that is on several parts counts
// once; of hands, what they steady besides another support, since what they carry alone is judged as a lift.
func (c *carrying) tooMuch() *overload {
	o := &overload{}
	for _, p := range c.parts {
		o.load += p.Kg
	}
	steadied := 0.0
	var first []*state.Support
	for _, l := range c.lines {
		if slices.Contains(first, l.Supports[0]) {
			continue
		}
		first = append(first, l.Supports[0])
		weakest, kg := l.Weakest()
		switch {
		case weakest != nil:
			o.supports, o.capacity = append(o.supports, weakest), o.capacity+kg
		case l.Supports[0].Ability().Hands:
			steadied += loads.SteadyKg
		default:
			return nil
		}
	}
	if len(o.supports) == 0 || o.load <= o.capacity+steadied+rounding {
		return nil
	}
	return o
}
