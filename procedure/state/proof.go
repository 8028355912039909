package state

import (
	"slices"

	"matchmark/procedure"
)

// Proof is a step that proves energy away, with the job that it is of.
type Proof struct {
	Job  *procedure.Job
	Step *procedure.Step
	// Of are the conditions that it proves, as far as they were asked for.
	Of []*Condition
}

// ProofsAfterStop returns what must be done again when work stopped right before the i-th step of
// a trace's job, counted from 0: the steps that proved energy away last, in their order, as far as work that
// comes relies on them before they are proved anew. out is the trace of the job that this one brings back; nil for none.
func ProofsAfterStop(out, t *Trace, i int) []Proof {
	var found []Proof
	before := t.Before(i)
	for _, c := range t.Assembly.Conditions {
		if !c.Energy || !before.Proved(c) || !t.reliesOn(c, i) {
			continue
		}
		p, ok := t.provedBefore(c, len(t.Events)-len(t.From(i)))
		if !ok && out != nil {
			p, ok = out.provedBefore(c, len(out.Events))
		}
		if !ok {
			continue
		}
		if same := slices.IndexFunc(found, func(x Proof) bool { return x.Step == p.Step }); same >= 0 {
			found[same].Of = append(found[same].Of, c)
		} else {
			found = append(found, p)
		}
	}
	slices.SortStableFunc(found, func(a, b Proof) int {
		switch {
		case a.Job == b.Job:
			return a.Step.Number - b.Step.Number
		case a.Job == t.Job:
			return 1
		}
		return -1
	})
	return found
}

// reliesOn reports whether work from the i-th step on is done under a proof of the condition that is not given before.
func (t *Trace) reliesOn(c *Condition, i int) bool {
	for _, e := range t.From(i) {
		switch {
		case e.Proves(c), !e.Before.Condition(c).Holds():
			return false
		case e.Works():
			return true
		}
	}
	return false
}

// provedBefore returns the last step before an event that proves the condition.
func (t *Trace) provedBefore(c *Condition, event int) (Proof, bool) {
	for i := range slices.Backward(t.Events[:event]) {
		if e := &t.Events[i]; e.Proves(c) {
			return Proof{t.Job, e.Step, []*Condition{c}}, true
		}
	}
	return Proof{}, false
}

// Stopped returns the same state after work has stopped, as the start of a trace: what kept energy away still does, but it is not proved any more.
func (s *State) Stopped() *State {
	out := s.asStart()
	for _, c := range out.Assembly.Conditions {
		if c.Energy && out.Proved(c) {
			out.setCondition(c, ConditionState{Is: Established, Last: None})
		}
	}
	return out
}
