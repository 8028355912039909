package state

import "slices"

// Group is what hangs together with a part by carrying fasteners, base parts apart.
type Group struct {
	// Parts are in the order in which the fasteners lead to them.
	Parts []*Part
	// Anchored is true when the group hangs on a base part, or on something that the registers do not say.
	Anchored bool
	// Kg is the mass of the parts, as far as it is stated.
	Kg float64
	// Carriers are the supports on any of the parts.
	Carriers []*Support
}

// Group returns what hangs together with the part. A base part is anchored and alone.
func (s *State) Group(p *Part) Group {
	g := Group{Parts: []*Part{p}}
	if p.Base {
		g.Anchored = true
		return g
	}
	for i := 0; i < len(g.Parts); i++ {
		q := g.Parts[i]
		g.Kg += q.Kg
		at := s.parts[q.Index]
		if at.Is == InPlace && (q.Seated || !q.Rooted) {
			g.Anchored = true
		}
		for _, x := range at.Carriers {
			if !slices.Contains(g.Carriers, x) {
				g.Carriers = append(g.Carriers, x)
			}
		}
		for _, f := range q.Fasteners {
			if !f.Carries() || !s.fasteners[f.Index].In() {
				continue
			}
			for _, r := range f.Parts {
				if r.Base {
					g.Anchored = true
				} else if !slices.Contains(g.Parts, r) && s.parts[r.Index].Is == at.Is {
					g.Parts = append(g.Parts, r)
				}
			}
		}
	}
	return g
}

// Held reports whether the group stays where it is: it hangs on something or a support carries it.
func (g Group) Held() bool { return g.Anchored || len(g.Carriers) > 0 }

// Has reports whether the part belongs to the group.
func (g Group) Has(p *Part) bool { return slices.Contains(g.Parts, p) }

// moving returns the parts that leave with p: its group, when nothing ties that
// to the machine, otherwise p alone.
func (s *State) moving(p *Part) []*Part {
	g := s.Group(p)
	if g.Anchored && s.parts[p.Index].Is == InPlace {
		return []*Part{p}
	}
	return g.Parts
}

// Tie is something that keeps a part from leaving. Exactly one of Fastener and Connection is set.
type Tie struct {
	Fastener   *Fastener
	Connection *Connection
	// To is the part on the other side; nil for the machine itself.
	To *Part
}

// Ties returns what still ties the parts to anything that stays in place, in the
// order of the registers.
func (s *State) Ties(leaving []*Part) []Tie {
	var out []Tie
	stays := func(parts []*Part) (*Part, bool) {
		if len(parts) == 1 {
			return nil, true
		}
		for _, q := range parts {
			if !slices.Contains(leaving, q) && s.parts[q.Index].Is == InPlace {
				return q, true
			}
		}
		return nil, false
	}
	for _, f := range s.Assembly.Fasteners {
		if !f.Ties() || !s.fasteners[f.Index].In() || !slices.ContainsFunc(leaving, f.Joins) {
			continue
		}
		if q, ok := stays(f.Parts); ok {
			out = append(out, Tie{Fastener: f, To: q})
		}
	}
	for _, c := range s.Assembly.Connections {
		if s.connections[c.Index].Apart || !slices.ContainsFunc(leaving, func(p *Part) bool { return slices.Contains(c.Parts, p) }) {
			continue
		}
		if q, ok := stays(c.Parts); ok {
			out = append(out, Tie{Connection: c, To: q})
		}
	}
	return out
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
			if !f.Carries() || !s.fasteners[f.Index].In() {
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
				if !seen[q] && s.parts[q.Index].Is == InPlace {
					seen[q] = true
					links = append(links, link{part: q, from: i, by: f})
				}
			}
		}
	}
	return nil
}
