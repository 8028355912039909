package schedule

import (
	"fmt"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/lifting"
	"matchmark/procedure/order"
	"matchmark/procedure/state"
)

// Activity is one piece of work of a network.
type Activity struct {
	Name string
	// Step is the job's step; nil in a network that is not a job's.
	Step *procedure.Step
	Time procedure.Estimate
	// People is how many it takes at the same time; less than 1 counts as 1.
	People int
	// Uses are things of which there is only one: two activities that use one of them cannot overlap.
	Uses []Thing
}

// Thing is something of which there is only one: a single tool, or a support.
type Thing struct{ ID, Name string }

// crew is how many people the activity takes.
func (a *Activity) crew() int { return max(a.People, 1) }

// Network is a set of activities with the order that some of them must keep: an
// activity-on-node network. It never changes once built.
type Network struct {
	Activities []Activity
	graph      *order.Graph
	sorted     []int
	next, prev [][]int
}

// NewNetwork returns the network of the activities; node i of the graph is the
// i-th activity. The error is a *order.CycleError when the graph allows no order.
func NewNetwork(activities []Activity, graph *order.Graph) (*Network, error) {
	if graph.N != len(activities) {
		return nil, fmt.Errorf("schedule: %d activities on %d nodes", len(activities), graph.N)
	}
	sorted, err := graph.Sorted()
	if err != nil {
		return nil, err
	}
	if graph.N > 0 {
		graph.Before(0, 0) // works out what the graph is asked later, so that a network can be shared
	}
	n := &Network{Activities: activities, graph: graph, sorted: sorted, next: make([][]int, graph.N), prev: make([][]int, graph.N)}
	for _, e := range graph.Edges() {
		n.next[e.From] = append(n.next[e.From], e.To)
		n.prev[e.To] = append(n.prev[e.To], e.From)
	}
	return n, nil
}

// Of returns the network of a job: its steps, in the order that order.Of works
// out, with the single tools and the supports that they use.
//
// A support is busy through each step that names it. What it carries from one
// step to a later one is a matter of order: the steps that put it on and take it
// away are in a fixed order already, and a step that lists it only among its tools
// keeps its written place among them.
func Of(t *state.Trace) *Network {
	steps := t.Job.Steps
	graph := clone(order.Of(t).Graph)
	activities := make([]Activity, len(steps))
	for i, s := range steps {
		activities[i] = Activity{Name: s.Title, Step: s, Time: s.Time, People: s.People, Uses: uses(t.Job, s)}
	}
	keepPlace(t.Job, graph)
	n, err := NewNetwork(activities, graph)
	if err != nil {
		panic("schedule: " + err.Error()) // every edge leads to a later step
	}
	return n
}

// clone copies a graph, so that edges can be added to it.
func clone(g *order.Graph) *order.Graph {
	out := order.NewGraph(g.N)
	for _, e := range g.Edges() {
		out.Add(e.From, e.To, e.Reasons...)
	}
	return out
}

// uses lists the single tools and the supports that a step names, in its own order, each once.
func uses(job *procedure.Job, s *procedure.Step) []Thing {
	var out []Thing
	seen := map[string]bool{}
	add := func(refs []procedure.Ref) {
		for _, r := range refs {
			if row := single(job, r.ID); row != nil && !seen[r.ID] {
				seen[r.ID] = true
				out = append(out, Thing{ID: row.ID, Name: row.Name})
			}
		}
	}
	add(s.Tools)
	for _, a := range s.Actions() {
		add(a.With)
	}
	return out
}

// single returns the row of a thing of which the shop has one only; nil for all else.
func single(job *procedure.Job, id string) *procedure.Row {
	if job.Machine == nil {
		return nil
	}
	switch t := job.Machine.Thing(id); {
	case t == nil:
		return nil
	case t.Tool != nil && t.Tool.Single:
		return t.Row
	case t.Support != nil && !lifting.Hands(t.Support):
		return t.Row
	}
	return nil
}

// keepPlace adds the written order between the steps that list a support among
// their tools and those that put it on a part or take it away.
func keepPlace(job *procedure.Job, graph *order.Graph) {
	for i, s := range job.Steps {
		for _, r := range s.Tools {
			row := single(job, r.ID)
			if row == nil {
				continue
			}
			for j, other := range job.Steps {
				if i != j && acts(other, r.ID) {
					graph.Add(min(i, j), max(i, j), order.Reason{Kind: order.OneSupport, Thing: row})
				}
			}
		}
	}
}

// acts reports whether an action of the step names the thing after its preposition.
func acts(s *procedure.Step, id string) bool {
	return slices.ContainsFunc(s.Actions(), func(a *procedure.Action) bool {
		return slices.ContainsFunc(a.With, func(r procedure.Ref) bool { return r.ID == id })
	})
}

// Scaled returns the network with every time multiplied by a factor, such as a learner's.
func (n *Network) Scaled(factor float64) *Network {
	out := *n
	out.Activities = make([]Activity, len(n.Activities))
	for i, a := range n.Activities {
		a.Time = Scaled(a.Time, factor)
		out.Activities[i] = a
	}
	return &out
}
