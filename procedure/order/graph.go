package order

import (
	"container/heap"
	"fmt"
	"slices"
	"sort"
)

// Graph says which of the nodes 0 to N-1 must come before which. Add all edges
// first; what is asked then is worked out once and kept, so a graph that is still
// changing must not be shared.
type Graph struct {
	// N is the number of nodes.
	N int
	// from holds the edges by their first node, each list by the second.
	from [][]Edge
	// edges and after are worked out when first asked for: all edges in order, and for each node all that must come after it.
	edges []Edge
	after []set
}

// Edge says that one node comes before another, and why.
type Edge struct {
	From, To int
	Reasons  []Reason
}

// NewGraph returns a graph of n nodes without edges.
func NewGraph(n int) *Graph { return &Graph{N: n, from: make([][]Edge, n)} }

// Add says that from comes before to. The same reason is kept once.
func (g *Graph) Add(from, to int, reasons ...Reason) {
	e := g.edge(from, to)
	for _, r := range reasons {
		if !slices.ContainsFunc(e.Reasons, r.sameAs) {
			e.Reasons = append(e.Reasons, r)
		}
	}
	g.edges, g.after = nil, nil
}

// edge returns the edge, which is put in if it is not there.
func (g *Graph) edge(from, to int) *Edge {
	list := g.from[from]
	at, found := len(list), false
	if at > 0 && list[at-1].To >= to { // most edges are added in order
		at, found = find(list, to)
	}
	if !found {
		if list == nil {
			list = make([]Edge, 0, usualEdges)
		}
		g.from[from] = slices.Insert(list, at, Edge{From: from, To: to})
	}
	return &g.from[from][at]
}

// usualEdges is how many edges a node has room for from its first one on.
const usualEdges = 4

func find(list []Edge, to int) (at int, found bool) {
	return slices.BinarySearchFunc(list, to, func(e Edge, to int) int { return e.To - to })
}

// Edges returns all edges, by their first node and then their second.
func (g *Graph) Edges() []Edge {
	if g.edges == nil {
		g.edges = slices.Concat(g.from...)
	}
	return g.edges
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
	waiting := make([]int, g.N)
	forward := true // every edge leads to a higher node: then the nodes are in order as they are
	for from, edges := range g.from {
		for _, e := range edges {
			waiting[e.To]++
			forward = forward && from < e.To
		}
	}
	out := make([]int, 0, g.N)
	if forward {
		for u := range g.N {
			out = append(out, u)
		}
		return out, nil
	}
	free := &lowest{}
	for u, w := range waiting {
		if w == 0 {
			heap.Push(free, u)
		}
	}
	for free.Len() > 0 {
		u := heap.Pop(free).(int)
		out = append(out, u)
		for _, e := range g.from[u] {
			if waiting[e.To]--; waiting[e.To] == 0 {
				heap.Push(free, e.To)
			}
		}
	}
	if len(out) < g.N {
		return nil, &CycleError{g.cycle(waiting)}
	}
	return out, nil
}

// lowest is a heap of nodes.
type lowest struct{ sort.IntSlice }

// Push implements heap.Interface.
func (l *lowest) Push(x any) { l.IntSlice = append(l.IntSlice, x.(int)) }

// Pop implements heap.Interface.
func (l *lowest) Pop() any {
	last := len(l.IntSlice) - 1
	x := l.IntSlice[last]
	l.IntSlice = l.IntSlice[:last]
	return x
}

// cycle walks from a node that still waits against the edges until it comes round.
func (g *Graph) cycle(waiting []int) []int {
	prev := make([]int, g.N)
	for i := range prev {
		prev[i] = -1
	}
	for u, edges := range g.from {
		for _, e := range edges {
			if waiting[u] > 0 && waiting[e.To] > 0 {
				prev[e.To] = u
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
	g.after = make([]set, g.N)
	size := (g.N + 63) / 64
	words := make(set, g.N*size)
	for _, u := range slices.Backward(sorted) {
		g.after[u], words = words[:size:size], words[size:]
		for _, e := range g.from[u] {
			g.after[u].add(e.To)
			g.after[u].join(g.after[e.To])
		}
	}
	return g.after
}

// Reduced returns the edges that no chain of others implies, for drawing.
//
// Source: Aho, Garey and Ullman, "The transitive reduction of a directed graph", 1972 (from memory).
func (g *Graph) Reduced() []Edge {
	after := g.closure()
	var out []Edge
	for _, edges := range g.from {
		for _, e := range edges {
			implied := slices.ContainsFunc(edges, func(f Edge) bool { return f.To != e.To && after[f.To].has(e.To) })
			if !implied {
				out = append(out, e)
			}
		}
	}
	return out
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
		for _, e := range g.from[u] {
			if prev[e.To] < 0 || best[u] > best[e.To] {
				best[e.To], prev[e.To] = best[u], u
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

func (s set) add(i int)      { s[i/64] |= 1 << (i % 64) }
func (s set) has(i int) bool { return s[i/64]&(1<<(i%64)) != 0 }
func (s set) join(t set) {
	for i := range s {
		s[i] |= t[i]
	}
}
