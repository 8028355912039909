package order

import (
	"fmt"
	"slices"
)

// Graph says which of the nodes 0 to N-1 must come before which. Add all edges
// first; what is asked then is worked out once and kept, so a graph that is still
// changing must not be shared.
type Graph struct {
	// N is the number of nodes.
	N     int
	edges map[[2]int][]Reason
	// sorted and after are worked out when first asked for: the edges in order, and for each node all that must come after it.
	sorted []Edge
	after  []set
}

// Edge says that one node comes before another, and why.
type Edge struct {
	From, To int
	Reasons  []Reason
}

// NewGraph returns a graph of n nodes without edges.
func NewGraph(n int) *Graph { return &Graph{N: n, edges: map[[2]int][]Reason{}} }

// Add says that from comes before to. The same reason is kept once.
func (g *Graph) Add(from, to int, reasons ...Reason) {
	key := [2]int{from, to}
	have := g.edges[key]
	for _, r := range reasons {
		if !slices.ContainsFunc(have, r.sameAs) {
			have = append(have, r)
		}
	}
	g.edges[key] = have
	g.sorted, g.after = nil, nil
}

// Edges returns all edges, by their first node and then their second.
func (g *Graph) Edges() []Edge {
	if g.sorted == nil {
		g.sorted = g.sort()
	}
	return g.sorted
}

func (g *Graph) sort() []Edge {
	out := make([]Edge, 0, len(g.edges))
	for key, reasons := range g.edges {
		out = append(out, Edge{key[0], key[1], reasons})
	}
	slices.SortFunc(out, func(a, b Edge) int {
		if a.From != b.From {
			return a.From - b.From
		}
		return a.To - b.To
	})
	return out
}

// Edge returns the reasons why from comes right before to; ok is false when no edge says so.
func (g *Graph) Edge(from, to int) (reasons []Reason, ok bool) {
	reasons, ok = g.edges[[2]int{from, to}]
	return reasons, ok
}

// CycleError says that the graph allows no order at all.
type CycleError struct {
	// Nodes must each come before the next, and the last before the first.
	Nodes []int
}

// Error names the nodes of the cycle.
func (e *CycleError) Error() string {
	return fmt.Sprintf("the nodes %v must come before each other", e.Nodes)
}

// Sorted returns the nodes in an order that the graph allows, the lowest first
// where there is a choice. The error is a *CycleError.
func (g *Graph) Sorted() ([]int, error) {
	next := g.successors()
	waiting := make([]int, g.N)
	for _, to := range next {
		for _, v := range to {
			waiting[v]++
		}
	}
	var out []int
	for len(out) < g.N {
		u := slices.Index(waiting, 0)
		if u < 0 {
			return nil, &CycleError{cycle(next, waiting)}
		}
		waiting[u] = -1
		out = append(out, u)
		for _, v := range next[u] {
			waiting[v]--
		}
	}
	return out, nil
}

// cycle walks from a node that still waits against the edges until it comes round.
func cycle(next [][]int, waiting []int) []int {
	prev := make([]int, len(next))
	for i := range prev {
		prev[i] = -1
	}
	for u, to := range next {
		for _, v := range to {
			if waiting[u] > 0 && waiting[v] > 0 {
				prev[v] = u
			}
		}
	}
	u := slices.IndexFunc(waiting, func(w int) bool { return w > 0 })
	var walk []int
	for !slices.Contains(walk, u) {
		walk = append(walk, u)
		u = prev[u]
	}
	walk = walk[slices.Index(walk, u):]
	slices.Reverse(walk)
	return walk
}

func (g *Graph) successors() [][]int {
	next := make([][]int, g.N)
	for _, e := range g.Edges() {
		next[e.From] = append(next[e.From], e.To)
	}
	return next
}

// Before reports whether u must come before v, directly or through others. It
// needs a graph without cycles, as do the questions below.
func (g *Graph) Before(u, v int) bool {
	return g.closure()[u].has(v)
}

func (g *Graph) closure() []set {
	if g.after != nil {
		return g.after
	}
	sorted, err := g.Sorted()
	if err != nil {
		panic("order: " + err.Error())
	}
	next := g.successors()
	g.after = make([]set, g.N)
	for _, u := range slices.Backward(sorted) {
		g.after[u] = newSet(g.N)
		for _, v := range next[u] {
			g.after[u].add(v)
			g.after[u].join(g.after[v])
		}
	}
	return g.after
}

// Reduced returns the edges that no chain of others implies, for drawing.
//
// Source: Aho, Garey and Ullman, "The transitive reduction of a directed graph", 1972 (from memory).
func (g *Graph) Reduced() []Edge {
	after := g.closure()
	next := g.successors()
	var out []Edge
	for _, e := range g.Edges() {
		implied := slices.ContainsFunc(next[e.From], func(w int) bool { return w != e.To && after[w].has(e.To) })
		if !implied {
			out = append(out, e)
		}
	}
	return out
}

// Allows reports whether the sequence holds each node once, in an order that the graph allows.
func (g *Graph) Allows(sequence []int) bool {
	at := make([]int, g.N)
	for i, u := range sequence {
		if u < 0 || u >= g.N || at[u] != 0 {
			return false
		}
		at[u] = i + 1
	}
	if len(sequence) != g.N {
		return false
	}
	for _, e := range g.Edges() {
		if at[e.From] > at[e.To] {
			return false
		}
	}
	return true
}

// LongestPath returns the chain of nodes whose weights add up to most, and that
// sum. Of equal chains it is the one with the lowest nodes from its end backward.
//
// Source: critical path of an activity-on-node network; Kelley and Walker, 1959 (from memory).
func (g *Graph) LongestPath(weight func(node int) float64) (path []int, length float64) {
	sorted, err := g.Sorted()
	if err != nil {
		panic("order: " + err.Error())
	}
	next := g.successors()
	best := make([]float64, g.N)
	prev := make([]int, g.N)
	for u := range prev {
		prev[u] = -1
	}
	end := -1
	for _, u := range sorted {
		best[u] += weight(u)
		if end < 0 || best[u] > best[end] {
			end = u
		}
		for _, v := range next[u] {
			if prev[v] < 0 || best[u] > best[v] {
				best[v], prev[v] = best[u], u
			}
		}
	}
	if end < 0 {
		return nil, 0
	}
	for u := end; u >= 0; u = prev[u] {
		path = append(path, u)
	}
	slices.Reverse(path)
	return path, best[end]
}

// set is a set of small whole numbers.
type set []uint64

func newSet(n int) set { return make(set, (n+63)/64) }

func (s set) add(i int)      { s[i/64] |= 1 << (i % 64) }
func (s set) has(i int) bool { return s[i/64]&(1<<(i%64)) != 0 }
func (s set) join(t set) {
	for i := range s {
		s[i] |= t[i]
	}
}
