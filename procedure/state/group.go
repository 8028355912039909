package state

import (
	"slices"

	"matchmark/procedure"
)

// RestKg is the mass from which parts must not be left in place with nothing that
// holds them, in kilograms. Common practice, no source.
const RestKg = 10.0

// Group is what hangs together with a part by carrying fasteners, base parts apart.
type Group struct {
	// Parts are in the order in which the fasteners lead to them.
	Parts []*Part
	// Anchored is true when the group hangs on a base part, or on something that the registers do not say.
	Anchored bool
	// Rests is true when a part of it rests, in its place, on what stays.
	Rests bool
	// Kg is the mass of the parts, as far as it is stated.
	Kg float64
	// Carriers are the supports on any of the parts.
	Carriers []*Support
}

// Group returns what hangs together with the part. A base part is anchored and alone.
func (s *State) Group(p *Part) Group { return s.group(p, nil) }

// Held reports whether the part's group stays where it is: it hangs on something or a support carries it.
func (s *State) Held(p *Part) bool {
	var room [usualGroup]*Part
	return s.group(p, room[:0]).Held()
}

// Anchored reports whether the part's group hangs on a base part, or on something that the registers do not say.
func (s *State) Anchored(p *Part) bool {
	var room [usualGroup]*Part
	return s.group(p, room[:0]).Anchored
}

// Carriers returns the supports on the part's group.
func (s *State) Carriers(p *Part) []*Support {
	var room [usualGroup]*Part
	return s.group(p, room[:0]).Carriers
}

// usualGroup is how many parts there is room for where a group is only looked at; a larger one takes more.
const usualGroup = 8

// group lists the group's parts in the room given.
func (s *State) group(p *Part, room []*Part) Group {
	g := Group{Parts: append(room, p)}
	if p.Base {
		g.Anchored = true
		return g
	}
	reach := func(is Place, parts []*Part) {
		for _, r := range parts {
			if r.Base {
				g.Anchored = true
			} else if !slices.Contains(g.Parts, r) && s.part(r).Is == is {
				g.Parts = append(g.Parts, r)
			}
		}
	}
	for i := 0; i < len(g.Parts); i++ {
		q := g.Parts[i]
		g.Kg += q.Kg
		at := s.part(q)
		if at.Is == InPlace && (q.Seated || !q.Rooted) {
			g.Anchored = true
		}
		g.Rests = g.Rests || at.Is == InPlace && q.Seat != ""
		for _, x := range at.Carriers {
			if !slices.Contains(g.Carriers, x) {
				g.Carriers = append(g.Carriers, x)
			}
		}
		for _, f := range q.Fasteners {
			if f.Carries() && s.Fastener(f).In() {
				reach(at.Is, f.Parts)
			}
		}
		for _, c := range q.Connections {
			if c.Bears() && !s.Connection(c).Apart {
				reach(at.Is, c.Parts)
			}
		}
		for _, r := range q.Pressed {
			if s.Pressed(r) {
				reach(at.Is, []*Part{r})
			}
		}
		if s.Pressed(q) {
			reach(at.Is, []*Part{q.Holder})
		}
	}
	return g
}

// Pressed reports whether a part still sits in the one that it is pressed into: both are in place, or they came off together.
func (s *State) Pressed(p *Part) bool {
	if p.Holder == nil {
		return false
	}
	at, by := s.part(p), s.part(p.Holder)
	switch {
	case at.Is == InPlace:
		return p.Holder.Base || by.Is == InPlace
	case at.Is != by.Is:
		return false
	}
	return at.Aboard && (at.Rides == p.Holder || at.Rides == by.Rides) || by.Aboard && by.Rides == p
}

// Held reports whether the group stays where it is: it hangs or rests on something, or a support carries it.
func (g Group) Held() bool {
	return g.Anchored || g.Rests || slices.ContainsFunc(g.Carriers, (*Support).Bears)
}

// Has reports whether the part belongs to the group.
func (g Group) Has(p *Part) bool { return slices.Contains(g.Parts, p) }

// moving returns the parts that leave with p: its group, when that hangs neither on
// the machine nor, on the bench, on the part that p rides on; otherwise p alone.
func (s *State) moving(p *Part, by procedure.Verb) []*Part {
	g, at := s.Group(p), s.part(p)
	if g.Anchored && at.Is == InPlace || s.offBench(p, by) && g.Has(at.Rides) {
		return []*Part{p}
	}
	return g.Parts
}

// Covering returns the parts that must be off before p can leave, or go back, and
// that are in the way: in place while p is, or on the bench on the same part.
func (s *State) Covering(p *Part) []*Part {
	var out []*Part
	at := s.part(p)
	for _, q := range p.Covers {
		over := s.part(q)
		aboard := over.Aboard && (over.Rides == p || over.Rides == at.Rides)
		if over.Is == at.Is && (at.Is == InPlace || aboard) {
			out = append(out, q)
		}
	}
	return out
}

// Tie is something that keeps a part from leaving. Exactly one of Fastener and Connection is set.
type Tie struct {
	Fastener   *Fastener
	Connection *Connection
	// To is the part on the other side; nil for the machine itself.
	To *Part
}

// Ties returns what still ties the parts to anything that stays where they are, in
// the order of the registers.
func (s *State) Ties(leaving []*Part) []Tie {
	var out []Tie
	place := s.part(leaving[0]).Is
	stays := func(parts []*Part) (*Part, bool) {
		if len(parts) == 1 {
			return nil, place == InPlace
		}
		for _, q := range parts {
			if !slices.Contains(leaving, q) && s.part(q).Is == place {
				return q, true
			}
		}
		return nil, false
	}
	for _, f := range s.Assembly.Fasteners {
		if !f.Ties() || !s.Fastener(f).In() || !slices.ContainsFunc(leaving, f.Joins) {
			continue
		}
		if q, ok := stays(f.Parts); ok {
			out = append(out, Tie{Fastener: f, To: q})
		}
	}
	for _, c := range s.Assembly.Connections {
		if s.Connection(c).Apart || !slices.ContainsFunc(leaving, func(p *Part) bool { return slices.Contains(c.Parts, p) }) {
			continue
		}
		if q, ok := stays(c.Parts); ok {
			out = append(out, Tie{Connection: c, To: q})
		}
	}
	return out
}

// Firm returns what tight fasteners alone hold together with the part. It is
// anchored when they hold it on a base part as well.
func (s *State) Firm(p *Part) Group {
	g := Group{Parts: []*Part{p}}
	for i := 0; i < len(g.Parts); i++ {
		g.Kg += g.Parts[i].Kg
		for _, f := range g.Parts[i].Fasteners {
			if !f.Carries() || s.Fastener(f).Is != Tight {
				continue
			}
			for _, q := range f.Parts {
				if q.Base {
					g.Anchored = true
				} else if !slices.Contains(g.Parts, q) && s.part(q).Is == InPlace {
					g.Parts = append(g.Parts, q)
				}
			}
		}
	}
	return g
}

// Path returns carrying fasteners that lead from the part to a base part, the
// fewest that do; none when the part does not hang on one.
func (s *State) Path(p *Part) []*Fastener {
	type link struct {
		part *Part
		from int
		by   *Fastener
	}
	links := []link{{part: p, from: -1}}
	seen := map[*Part]bool{p: true}
	for i := 0; i < len(links); i++ {
		for _, f := range links[i].part.Fasteners {
			if !f.Carries() || !s.Fastener(f).In() {
				continue
			}
			for _, q := range f.Parts {
				if q.Base {
					path := []*Fastener{f}
					for at := i; links[at].from >= 0; at = links[at].from {
						path = append(path, links[at].by)
					}
					return path
				}
				if !seen[q] && s.part(q).Is == InPlace {
					seen[q] = true
					links = append(links, link{part: q, from: i, by: f})
				}
			}
		}
	}
	return nil
}
