package order

import (
	"slices"

	"matchmark/procedure/state"
)

// handsKg returns what the people of a step hold by hand while a fastener comes
// out or goes in, in kilograms: the mechanic 10 kg with one hand, each helper
// 23 kg with both.
//
// Source: 23 kg is the load constant of the revised NIOSH lifting equation, DHHS (NIOSH) 94-110; 10 kg is common practice, no source.
func handsKg(people int) float64 { return state.RestKg + 23*float64(max(people, 1)-1) }

// rounding is how far a sum of masses may be above a capacity by rounding alone, in kilograms.
const rounding = 1e-6

// overload is what is too much for some supports.
type overload struct {
	supports []*state.Support
	load     float64
	capacity float64
}

// overloaded returns the supports of the part's group that carry more than they
// are rated for. Supports of one kind share a load: two jacks, four stands.
// Different kinds carry it one after the other: a hoist and its sling. Common practice, no source.
func overloaded(s *state.State, p *state.Part) *overload {
	at := s.Part(p)
	if at.Is == state.Down {
		return tooMuch(s, at.On, func(x *state.Support) []*state.Part { return s.StandingOn(x) })
	}
	return tooMuch(s, s.Carriers(p), func(x *state.Support) []*state.Part {
		var out []*state.Part
		for _, q := range s.CarriedBy(x) {
			out = append(out, carried(s, q, out)...)
		}
		return out
	})
}

// carried returns the parts whose weight a support on q has to bear, but for those already counted.
func carried(s *state.State, q *state.Part, counted []*state.Part) []*state.Part {
	at, g := s.Part(q).Is, s.Group(q)
	switch {
	case at == state.Down:
		return nil
	case at == state.InPlace && g.Anchored:
		g.Parts = []*state.Part{q} // fasteners bear the rest
	}
	return slices.DeleteFunc(slices.Clone(g.Parts), func(r *state.Part) bool { return slices.Contains(counted, r) })
}

// tooMuch compares the supports, kind by kind, with the mass of what they bear.
func tooMuch(s *state.State, supports []*state.Support, bears func(*state.Support) []*state.Part) *overload {
	for i, x := range supports {
		if slices.ContainsFunc(supports[:i], func(y *state.Support) bool { return y.Kind == x.Kind }) {
			continue
		}
		o := &overload{}
		var borne []*state.Part
		known := true
		for _, y := range supports {
			if y.Kind != x.Kind {
				continue
			}
			o.supports = append(o.supports, y)
			o.capacity += y.Kg
			known = known && !y.Capacity.IsZero()
			for _, p := range bears(y) {
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
