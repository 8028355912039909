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

// NewPrecedence works out the precedence of a job's steps. A step needs what an earlier step
// did only as the author's own order shows it, so the graph has no cycles.
func NewPrecedence(t *state.Trace) *Precedence {
	p := &Precedence{Steps: t.Job.Steps, implied: NewGraph(len(t.Job.Steps))}
	l := newLedger(t, p.implied)
	l.walk()
	l.holds()
	l.barriers()
	p.found(t.Job)
	p.stated(t.Job)
	return p
}

// found keeps what is found before what is done by it, the steps of a round in their order, and a wait before what it holds up.
func (p *Precedence) found(job *procedure.Job) {
	finders := procedure.Finders(job.Steps)
	for i, s := range job.Steps {
		for _, name := range s.Uses() {
			for _, f := range finders {
				if j := f.Step.Number - 1; f.Finds(name) && j < i {
					p.implied.Add(j, i, Reason{Kind: Found})
				}
			}
		}
		if i > 0 && s.Round.First != "" && job.Steps[i-1].Round.First == s.Round.First {
			p.implied.Add(i-1, i, Reason{Kind: Round})
		}
		if w := s.Wait(); w != nil {
			for k := i + 1; k < len(job.Steps); k++ {
				if w.Holds(job.Steps[k]) {
					p.implied.Add(i, k, Reason{Kind: Waited})
				}
			}
		}
	}
}

// Union joins the precedence of the ways through one job: an order is kept when it is needed on any of them. The ways have the same
// steps, of which some are empty on one of them.
func Union(ways []*Precedence) *Precedence {
	if len(ways) == 1 {
		return ways[0]
	}
	first := ways[0]
	out := &Precedence{Steps: first.Steps, Backward: first.Backward, Graph: NewGraph(first.N), implied: NewGraph(first.N)}
	for _, way := range ways {
		for _, e := range way.Edges() {
			out.Graph.Add(e.From, e.To, e.Reasons...)
		}
		for _, e := range way.implied.Edges() {
			out.implied.Add(e.From, e.To, e.Reasons...)
		}
	}
	return out
}

// stated adds the author's `after` to what is implied.
func (p *Precedence) stated(job *procedure.Job) {
	p.Graph = NewGraph(p.implied.N)
	for i, edges := range p.implied.from {
		p.Graph.from[i] = slices.Clone(edges)
		for k := range edges {
			p.Graph.from[i][k].Reasons = slices.Clip(informative(edges[k].Reasons))
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

// informative leaves out, where a better reason is at hand, that two actions share a thing.
func informative(reasons []Reason) []Reason {
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
