package sessions

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// same is how far two times may lie apart, in minutes, and still count as equal.
const same = 1e-9

// Split splits items, in their order, into the fewest sessions. When there is no
// split, the plan has no sessions and its obstacles say why. The error says which
// rule or which item makes no sense.
func Split(items []Item, r Rules) (*Plan, error) {
	all, plan, err := prepare(items, r)
	if err != nil {
		return nil, err
	}
	cuts := stops(all)
	ends, ok := divide(all, cuts, r)
	if !ok {
		plan.Obstacles = obstacles(all, cuts, r)
		return plan, nil
	}
	from := 0
	for _, to := range ends {
		plan.Sessions = append(plan.Sessions, newSession(all[from:to], len(plan.Sessions)+1, r))
		from = to
	}
	return plan, nil
}

// As is the plan of sessions that somebody has laid out already: each list of
// items is one session, whether it fits or not.
func As(groups [][]Item, r Rules) (*Plan, error) {
	var items []Item
	for _, g := range groups {
		items = append(items, g...)
	}
	all, plan, err := prepare(items, r)
	if err != nil {
		return nil, err
	}
	at := 0 // of the first item of the session
	from := 0
	for _, g := range groups {
		to := from
		for to < len(all) && within(all[to].item, items[at:at+len(g)]) {
			to++
		}
		plan.Sessions = append(plan.Sessions, newSession(all[from:to], len(plan.Sessions)+1, r))
		at, from = at+len(g), to
	}
	return plan, nil
}

func within(it *Item, items []Item) bool {
	for i := range items {
		if it == &items[i] {
			return true
		}
	}
	return false
}

// prepare takes the items apart and begins a plan.
func prepare(items []Item, r Rules) ([]piece, *Plan, error) {
	if err := r.check(); err != nil {
		return nil, nil, err
	}
	all, breaches, err := pieces(items)
	if err != nil {
		return nil, nil, err
	}
	plan := &Plan{Rules: r, Breaches: breaches}
	mean, variance := r.sum(all)
	plan.Expected, plan.Deviation = mean, math.Sqrt(variance)
	return all, plan, nil
}

// stops lists after how many pieces a session can end. The end of all is one of them, safe or not.
func stops(all []piece) []int {
	var out []int
	for i, p := range all {
		if p.stop != NotSafe || i == len(all)-1 {
			out = append(out, i+1)
		}
	}
	return out
}

// worth is how well a session keeps its length: by how many standard deviations,
// and by how many minutes. Less is worse.
type worth struct{ z, spare float64 }

func (w worth) less(v worth) bool {
	if w.z != v.z {
		return w.z < v.z
	}
	return w.spare < v.spare-same
}

// worthOf judges pieces as a session; ok is false when they do not fit.
func worthOf(pieces []piece, r Rules) (w worth, ok bool) {
	after, breaks := breaksIn(pieces, r.Break)
	mean, variance := r.sum(laid(pieces, after))
	sd := math.Sqrt(variance)
	w.spare = r.Length - r.SetUp - r.ClearDown - breaks - mean
	switch {
	case sd > 0:
		w.z = w.spare / sd
	case w.spare >= -same:
		w.z = math.Inf(1)
	default:
		w.z = math.Inf(-1)
	}
	return w, w.spare-r.z()*sd >= -same
}

// overrun is the chance of taking longer than the session's length.
func (w worth) overrun() float64 { return distuv.UnitNormal.CDF(-w.z) }

// divide finds the best split at some of the cuts, the last of which is the end.
// It goes through the cuts in order and keeps, for each, the best way to get there.
func divide(all []piece, cuts []int, r Rules) (ends []int, ok bool) {
	type way struct {
		sessions int
		worst    worth
		from     int // the cut before, as an index; -1 for the start
	}
	ways := make([]*way, len(cuts))
	for k, cut := range cuts {
		for j := k - 1; j >= -1; j-- {
			start := way{worst: worth{math.Inf(1), math.Inf(1)}}
			at := 0
			if j >= 0 {
				if ways[j] == nil {
					continue
				}
				start, at = *ways[j], cuts[j]
			}
			w, fits := worthOf(all[at:cut], r)
			if !fits {
				break // an earlier start makes the session longer still
			}
			next := &way{sessions: start.sessions + 1, worst: start.worst, from: j}
			if w.less(next.worst) {
				next.worst = w
			}
			if best := ways[k]; best == nil || next.sessions < best.sessions || next.sessions == best.sessions && best.worst.less(next.worst) {
				ways[k] = next
			}
		}
	}
	for k := len(cuts) - 1; k >= 0; k = ways[k].from {
		if ways[k] == nil {
			return nil, false
		}
		ends = append([]int{cuts[k]}, ends...)
	}
	return ends, true
}
