package order

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/state"
)

// Precedence is the graph of a job's steps; node i is the job's i-th step.
type Precedence struct {
	*Graph
	Steps []*procedure.Step
	// Backward are the author's statements that a step comes after itself or a later one. They are not in the graph.
	Backward []Backward
	implied  *Graph
}

// Backward is an `after` that the order of the steps contradicts.
type Backward struct {
	Step, After int
	Ref         procedure.Ref
}

// Of works out the precedence of a job's steps. A step needs what an earlier step
// did only as the author's own order shows it, so the graph has no cycles.
func Of(t *state.Trace) *Precedence {
	p := &Precedence{Steps: t.Job.Steps, implied: NewGraph(len(t.Job.Steps))}
	l := newLedger(t, p.implied)
	l.walk()
	l.holds()
	l.barriers()
	p.stated(t.Job)
	return p
}

// stated adds the author's `after` to what is implied.
func (p *Precedence) stated(job *procedure.Job) {
	p.Graph = NewGraph(p.implied.N)
	for i, edges := range p.implied.from {
		p.Graph.from[i] = slices.Clone(edges)
		for k := range edges {
			p.Graph.from[i][k].Reasons = slices.Clip(telling(edges[k].Reasons))
		}
	}
	for i, s := range p.Steps {
		for _, ref := range s.After {
			after := job.Step(ref.ID)
			if after == nil {
				continue // another variant's step, or none: the reference check knows
			}
			if j := after.Number - 1; j < i {
				p.Graph.Add(j, i, Reason{Kind: Stated})
			} else {
				p.Backward = append(p.Backward, Backward{Step: i, After: j, Ref: ref})
			}
		}
	}
}

// telling leaves out, where a better reason is at hand, that two actions share a thing.
func telling(reasons []Reason) []Reason {
	plain := func(r Reason) bool { return r.Kind == Same || r.Kind == AsItWas }
	if !slices.ContainsFunc(reasons, plain) {
		return reasons
	}
	out := slices.DeleteFunc(slices.Clone(reasons), plain)
	if len(out) == 0 {
		return reasons
	}
	return out
}

// Swaps returns each i whose step could change places with the next one.
func (p *Precedence) Swaps() []int {
	var out []int
	for i := 0; i+1 < p.N; i++ {
		if !p.Before(i, i+1) {
			out = append(out, i)
		}
	}
	return out
}

// Habits returns the edges that only the author states: nothing that the actions do asks for them.
func (p *Precedence) Habits() []Edge {
	var out []Edge
	for _, e := range p.Edges() {
		for _, r := range e.Reasons {
			if r.Kind == Stated && !p.implied.Before(e.From, e.To) {
				out = append(out, e)
			}
		}
	}
	return out
}
