package state

import "matchmark/procedure"

// Locks are the padlocks that hang where a condition is kept, as far as acts say so.
type Locks struct {
	// On are the acts that hung them on.
	On []*Event
	// N is how many there are: what the acts say, or one for each of those who work while the condition holds, at least one for each trade of the job.
	N int
	// Most is the step in which most people work while the condition holds; nil when nobody does.
	Most *procedure.Step
}

// LocksOn returns the locks of a condition before the i-th event of a trace. out is the trace of the job that this one brings back; nil for none.
func LocksOn(out, t *Trace, c *Condition, i int) Locks {
	var l Locks
	each, trades := false, map[string]bool{}
	since := func(t *Trace, end int) (fromStart bool) {
		for ; end > 0 && t.Events[end-1].After.Condition(c).Holds(); end-- {
			e := &t.Events[end-1]
			if e.Condition == c && e.Action.Verb == procedure.Establish && e.Action.Locks.Stated() {
				l.On = append(l.On, e)
				l.N += e.Action.Locks.N
				each = each || e.Action.Locks.Each
			}
			if !e.Before.Condition(c).Holds() {
				return false
			}
			if e.Works() && (l.Most == nil || e.Step.People > l.Most.People) {
				l.Most = e.Step
			}
		}
		return end == 0
	}
	if since(t, i) && out != nil && t.Start.Condition(c).Holds() {
		since(out, len(out.Events))
	}
	if each {
		for _, t := range []*Trace{out, t} {
			for i := 0; t != nil && i < len(t.Events); i++ {
				for _, r := range t.Events[i].Step.Trades() {
					trades[r.ID] = true
				}
			}
		}
		l.N = max(l.N, len(trades), 1)
		if l.Most != nil {
			l.N = max(l.N, l.Most.People)
		}
	}
	return l
}
