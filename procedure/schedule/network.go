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
	// sorted is an order that the network allows, next and prev the edges, each list ascending.
	sorted     []int
	next, prev [][]int
	// earlier holds, for each activity, all that must come before it.
	earlier []set
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
	next := make([][]int, graph.N)
	for _, e := range graph.Edges() {
		next[e.From] = append(next[e.From], e.To)
	}
	return link(activities, sorted, next), nil
}

// link makes a network of edges and an order that they allow.
func link(activities []Activity, sorted []int, next [][]int) *Network {
	n := &Network{Activities: activities, sorted: sorted, next: next, prev: make([][]int, len(next))}
	edges := 0
	count := make([]int, len(next))
	for _, to := range next {
		edges += len(to)
		for _, j := range to {
			count[j]++
		}
	}
	room := make([]int, edges)
	for j, c := range count {
		n.prev[j], room = room[:0:c], room[c:]
	}
	for i, to := range next {
		for _, j := range to {
			n.prev[j] = append(n.prev[j], i)
		}
	}
	n.earlier = earlier(sorted, n.prev)
	return n
}

// before reports whether u must come before v, directly or through others.
func (n *Network) before(u, v int) bool { return n.earlier[v].has(u) }

// Of returns the network of a job: its steps, in the order that order.Of works
// out, with the single tools and the supports that they use.
//
// A support is busy through each step that names it. What it carries from one
// step to a later one is a matter of order: the steps that put it on and take it
// away are in a fixed order already, and a step that lists it only among its tools
// keeps its written place among them.
func Of(t *state.Trace) *Network { return Ordered(t.Job, order.Of(t)) }

// Ordered is Of for a job whose order is worked out already.
func Ordered(job *procedure.Job, p *order.Precedence) *Network {
	activities := make([]Activity, len(job.Steps))
	sorted := make([]int, len(job.Steps)) // as written: every edge leads to a later step
	for i, s := range job.Steps {
		activities[i] = Activity{Name: s.Title, Step: s, Time: s.Time, People: s.People, Uses: uses(job, s)}
		sorted[i] = i
	}
	next := make([][]int, len(job.Steps))
	for _, e := range p.Edges() {
		next[e.From] = append(next[e.From], e.To)
	}
	keepPlace(job, next)
	return link(activities, sorted, next)
}

// insert puts a number into an ascending list that may hold it already.
func insert(list []int, x int) []int {
	if at, found := slices.BinarySearch(list, x); !found {
		return slices.Insert(list, at, x)
	}
	return list
}

// uses lists the single tools and the supports that a step names, in its own order, each once.
func uses(job *procedure.Job, s *procedure.Step) []Thing {
	var out []Thing
	add := func(refs []procedure.Ref) {
		for _, r := range refs {
			if row := single(job, r.ID); row != nil && !slices.ContainsFunc(out, func(t Thing) bool { return t.ID == row.ID }) {
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
func keepPlace(job *procedure.Job, next [][]int) {
	for i, s := range job.Steps {
		for _, r := range s.Tools {
			if single(job, r.ID) == nil {
				continue
			}
			for j, other := range job.Steps {
				if i != j && acts(other, r.ID) {
					next[min(i, j)] = insert(next[min(i, j)], max(i, j))
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
