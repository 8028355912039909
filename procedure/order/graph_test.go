package order

import (
	"encoding/json"
	"errors"
	"os"
	"reflect"
	"testing"
)

// jackson is the 11-task network of Jackson (1956), as published in the data set
// of Scholl, "Data of Assembly Line Balancing Problems" (1993). The count of orders,
// the schedule and the sequences were computed with other programs; the file says which.
type jackson struct {
	Tasks      map[string]float64 `json:"tasks"`
	Precedence [][2]int           `json:"precedence"`
	Count      int64              `json:"valid_sequence_count"`
	Reverse    int64              `json:"reverse_count"`
	Critical   float64            `json:"critical_path_length"`
	Schedule   []struct {
		Slack float64 `json:"slack"`
	} `json:"schedule"`
	ReducedIsAll bool `json:"transitive_reduction_equals_arcs"`
	Sequences    []struct {
		Order []int `json:"order"`
		Valid bool  `json:"valid"`
	} `json:"sequences"`
	CycleCase struct {
		Arc [2]int `json:"add_arc"`
	} `json:"cycle_case"`
}

func readJackson(t *testing.T) (jackson, *Graph) {
	t.Helper()
	src, err := os.ReadFile("../../testdata/reference/12_precedence_jackson11.json")
	if err != nil {
		t.Fatal(err)
	}
	var j jackson
	if err := json.Unmarshal(src, &j); err != nil {
		t.Fatal(err)
	}
	g := NewGraph(len(j.Tasks))
	for _, arc := range j.Precedence {
		g.Add(arc[0]-1, arc[1]-1)
	}
	return j, g
}

func (j jackson) weight(node int) float64 {
	return j.Tasks[[]string{"1", "2", "3", "4", "5", "6", "7", "8", "9", "10", "11"}[node]]
}

func TestJacksonCounts(t *testing.T) {
	j, g := readJackson(t)
	if n, ok := g.Count(); !ok || n.Int64() != j.Count {
		t.Errorf("%v orders, want %d", n, j.Count)
	}
	back := NewGraph(g.N)
	for _, e := range g.Edges() {
		back.Add(e.To, e.From)
	}
	if n, ok := back.Count(); !ok || n.Int64() != j.Reverse {
		t.Errorf("%v orders backward, want %d", n, j.Reverse)
	}
}

func TestJacksonSequences(t *testing.T) {
	j, g := readJackson(t)
	for _, s := range j.Sequences {
		var order []int
		for _, task := range s.Order {
			order = append(order, task-1)
		}
		if got := g.Allows(order); got != s.Valid {
			t.Errorf("%v allowed: %v, want %v", s.Order, got, s.Valid)
		}
	}
	if g.Allows([]int{0, 1, 2}) || g.Allows([]int{0, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9}) {
		t.Error("a sequence that leaves a task out is allowed")
	}
}

func TestJacksonReduction(t *testing.T) {
	j, g := readJackson(t)
	arcs := func(edges []Edge) map[[2]int]bool {
		out := map[[2]int]bool{}
		for _, e := range edges {
			out[[2]int{e.From + 1, e.To + 1}] = true
		}
		return out
	}
	want := map[[2]int]bool{}
	for _, arc := range j.Precedence {
		want[arc] = true
	}
	if got := arcs(g.Reduced()); !j.ReducedIsAll || !reflect.DeepEqual(got, want) {
		t.Errorf("the reduction is %v, want all arcs", got)
	}
	// Arcs that others imply go again.
	g.Add(0, 10)
	g.Add(0, 6)
	if got := arcs(g.Reduced()); !reflect.DeepEqual(got, want) {
		t.Errorf("with two implied arcs the reduction is %v", got)
	}
}

func TestJacksonLongestPath(t *testing.T) {
	j, g := readJackson(t)
	path, length := g.LongestPath(j.weight)
	if length != j.Critical {
		t.Errorf("the longest path takes %v, want %v", length, j.Critical)
	}
	sum := 0.0
	for _, u := range path {
		sum += j.weight(u)
		if j.Schedule[u].Slack != 0 {
			t.Errorf("task %d is on the longest path and has slack %v", u+1, j.Schedule[u].Slack)
		}
	}
	if sum != length {
		t.Errorf("the tasks of the path take %v, not %v", sum, length)
	}
	for i := 1; i < len(path); i++ {
		if _, ok := g.Edge(path[i-1], path[i]); !ok {
			t.Errorf("no arc leads from %d to %d", path[i-1]+1, path[i]+1)
		}
	}
}

func TestJacksonCycle(t *testing.T) {
	j, g := readJackson(t)
	g.Add(j.CycleCase.Arc[0]-1, j.CycleCase.Arc[1]-1)
	_, err := g.Sorted()
	var c *CycleError
	if !errors.As(err, &c) {
		t.Fatalf("no cycle is found: %v", err)
	}
	for i, u := range c.Nodes {
		if _, ok := g.Edge(u, c.Nodes[(i+1)%len(c.Nodes)]); !ok {
			t.Errorf("in the cycle %v no arc leads on from %d", c.Nodes, u)
		}
	}
	if len(c.Nodes) < 2 {
		t.Errorf("the cycle is %v", c.Nodes)
	}
	if n, ok := g.Count(); !ok || n.Sign() != 0 {
		t.Errorf("a graph with a cycle has %v orders", n)
	}
}

func TestBefore(t *testing.T) {
	_, g := readJackson(t)
	if !g.Before(0, 10) || g.Before(10, 0) || g.Before(1, 2) {
		t.Error("Before is wrong for 1-11, 11-1 or 2-3")
	}
}

func TestEmptyGraph(t *testing.T) {
	g := NewGraph(0)
	path, length := g.LongestPath(func(int) float64 { return 1 })
	n, ok := g.Count()
	if path != nil || length != 0 || !ok || n.Int64() != 1 || len(g.Reduced()) != 0 {
		t.Error("a graph without nodes has a path or no empty order")
	}
	if _, ok := NewGraph(65).Count(); ok {
		t.Error("65 nodes are counted")
	}
}
