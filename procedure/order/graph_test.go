package order

import (
	"encoding/json"
	"errors"
	"os"
	"reflect"
	"slices"
	"testing"

	"gotest.tools/v3/assert"
)

// jackson is the 11-task network of Jackson (1956), as published in the data set
// of Scholl, "Data of Assembly Line Balancing Problems" (1993). The schedule
// was computed with another program; the file says which.
type jackson struct {
	Tasks      map[string]float64 `json:"tasks"`
	Precedence [][2]int           `json:"precedence"`
	Critical   float64            `json:"critical_path_length"`
	Schedule   []struct {
		Slack float64 `json:"slack"`
	} `json:"schedule"`
	ReducedIsAll bool `json:"transitive_reduction_equals_arcs"`
	CycleCase    struct {
		Arc [2]int `json:"add_arc"`
	} `json:"cycle_case"`
}

func readJackson(t *testing.T) (jackson, *Graph) {
	t.Helper()
	src, err := os.ReadFile("../../testdata/reference/12_precedence_jackson11.json")
	assert.NilError(t, err)
	var j jackson
	assert.NilError(t, json.Unmarshal(src, &j))
	g := NewGraph(len(j.Tasks))
	for _, arc := range j.Precedence {
		g.Add(arc[0]-1, arc[1]-1)
	}
	return j, g
}

func (j jackson) weight(node int) float64 {
	return j.Tasks[[]string{"1", "2", "3", "4", "5", "6", "7", "8", "9", "10", "11"}[node]]
}

func TestJacksonSorted(t *testing.T) {
	j, g := readJackson(t)
	sorted, err := g.Sorted()
	if err != nil || len(sorted) != len(j.Tasks) {
		t.Fatalf("%v, %v", sorted, err)
	}
	for _, arc := range j.Precedence {
		if slices.Index(sorted, arc[0]-1) > slices.Index(sorted, arc[1]-1) {
			t.Errorf("in %v task %d stands before %d", sorted, arc[1], arc[0])
		}
	}
}

// leads reports whether an edge leads from one node to the other.
func leads(g *Graph, from, to int) bool {
	return slices.ContainsFunc(g.Edges(), func(e Edge) bool { return e.From == from && e.To == to })
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
		if !leads(g, path[i-1], path[i]) {
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
		if !leads(g, u, c.Nodes[(i+1)%len(c.Nodes)]) {
			t.Errorf("in the cycle %v no arc leads on from %d", c.Nodes, u)
		}
	}
	if len(c.Nodes) < 2 {
		t.Errorf("the cycle is %v", c.Nodes)
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
	if path != nil || length != 0 || len(g.Reduced()) != 0 {
		t.Error("a graph without nodes has a path")
	}
}
