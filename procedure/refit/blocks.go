package refit

import (
	"slices"

	"matchmark/procedure/state"
)

// LinesUp returns for each fastener the name of what it lines up with, -1 for none: fasteners have one name when parts and
// fasteners lead in a ring through both of them, so that the one that is tight first decides where the other has to
// go in. Base parts count as one, since they stay as they are.
//
// Source: biconnected components of an undirected graph, Hopcroft and Tarjan, 1973 (from memory).
func LinesUp(a *state.Assembly) []int {
	r := rings{of: make([]int, len(a.Fasteners)), seen: make([]int, len(a.Parts)+1), low: make([]int, len(a.Parts)+1), next: make([][]link, len(a.Parts)+1)}
	for i := range r.of {
		r.of[i] = -1
	}
	vertex := func(p *state.Part) int {
		if p.Base {
			return len(a.Parts)
		}
		return p.Index
	}
	for _, f := range a.Fasteners {
		if !f.Carries() || f.Brought {
			continue
		}
		for i := 1; i < len(f.Parts); i++ {
			u, v := vertex(f.Parts[i-1]), vertex(f.Parts[i])
			if u == v {
				continue
			}
			e := link{f.Index, r.links, u, v}
			r.links++
			r.next[u], r.next[v] = append(r.next[u], e), append(r.next[v], e)
		}
	}
	for v := range r.next {
		if r.seen[v] == 0 {
			r.visit(v, -1)
		}
	}
	return r.of
}

// link is what one fastener makes between two parts.
type link struct{ fastener, id, u, v int }

// rings finds the rings of a machine's parts and fasteners.
type rings struct {
	of, seen, low []int
	next          [][]link
	stack         []link
	links, time   int
}

func (r *rings) visit(v, by int) {
	r.time++
	r.seen[v], r.low[v] = r.time, r.time
	for _, e := range r.next[v] {
		w := e.u + e.v - v
		switch {
		case e.id == by:
		case r.seen[w] == 0:
			r.stack = append(r.stack, e)
			r.visit(w, e.id)
			r.low[v] = min(r.low[v], r.low[w])
			if r.low[w] >= r.seen[v] {
				r.ring(e)
			}
		case r.seen[w] < r.seen[v]:
			r.stack = append(r.stack, e)
			r.low[v] = min(r.low[v], r.seen[w])
		}
	}
}

// ring takes the links down to one off the stack: they are a ring, or one link by itself. A fastener that is in two rings
// makes one of them.
func (r *rings) ring(down link) {
	at := slices.Index(r.stack, down)
	name := down.fastener
	for _, e := range r.stack[at:] {
		if old := r.of[e.fastener]; old >= 0 && old != name {
			for i, x := range r.of {
				if x == old {
					r.of[i] = name
				}
			}
		}
		r.of[e.fastener] = name
	}
	r.stack = r.stack[:at]
}
