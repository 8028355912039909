package schedule

import (
	"math"
	"slices"
)

// same is how far two times may lie apart, in minutes, and still count as equal.
const same = 1e-9

// Window says when an activity can happen if the whole is to end as early as it
// can. All times are expected times in minutes from the start.
type Window struct {
	Activity *Activity
	// Expected and Deviation are the activity's own.
	Expected, Deviation float64
	// EarlyStart and EarlyFinish are the earliest, LateStart and LateFinish the latest times.
	EarlyStart, EarlyFinish, LateStart, LateFinish float64
	// Slack is by how much the activity can start late before the whole ends late.
	Slack float64
	// FreeSlack is by how much it can start late before any other activity starts late.
	FreeSlack float64
	// Critical is true when there is no slack.
	Critical bool
}

// Times are the network times: as if there were people and tools enough.
type Times struct {
	// Windows has one entry for each activity of the network, in its order.
	Windows []Window
	// Path is the critical path, as indices of activities. Of equally long paths
	// it is the one with the largest variance, since that makes the forecast careful.
	Path []int
	// Length is the expected time of the critical path.
	Length float64
	// Variance and Deviation are those of the critical path, its activities taken as independent.
	Variance, Deviation float64
}

// Times works out the network times by a forward and a backward pass.
//
// Source: critical path method, Kelley and Walker, 1959; expected times and
// variances as in classical PERT (Malcolm, Roseboom, Clark and Fazar, 1959).
func (n *Network) Times() Times {
	t := Times{Windows: make([]Window, len(n.Activities))}
	heads := n.heads()
	for i := range n.Activities {
		a := &n.Activities[i]
		w := &t.Windows[i]
		w.Activity, w.Expected, w.Deviation = a, a.Expected(), a.Deviation()
		w.EarlyFinish = heads[i].length
		w.EarlyStart = w.EarlyFinish - w.Expected
		t.Length = max(t.Length, w.EarlyFinish)
	}
	for _, i := range slices.Backward(n.sorted) {
		w := &t.Windows[i]
		w.LateFinish = t.Length
		free := t.Length
		for _, j := range n.next[i] {
			w.LateFinish = min(w.LateFinish, t.Windows[j].LateStart)
			free = min(free, t.Windows[j].EarlyStart)
		}
		w.LateStart = w.LateFinish - w.Expected
		w.Slack = nought(w.LateStart - w.EarlyStart)
		w.FreeSlack = nought(free - w.EarlyFinish)
		w.Critical = w.Slack == 0
	}
	t.Path = walk(heads, n.longest(heads))
	for _, i := range t.Path {
		t.Variance += t.Windows[i].Deviation * t.Windows[i].Deviation
	}
	t.Deviation = math.Sqrt(t.Variance)
	return t
}

// Slacks returns, for each activity, by how much it can start late before the whole
// ends late: what Times says too, for those who want nothing else.
func (n *Network) Slacks() []float64 {
	room := make([]float64, 2*len(n.Activities))
	finish, slacks := room[:len(n.Activities)], room[len(n.Activities):]
	length := 0.0
	for _, i := range n.sorted {
		start := 0.0
		for _, j := range n.prev[i] {
			start = max(start, finish[j])
		}
		finish[i] = start + n.Activities[i].Expected()
		length = max(length, finish[i])
	}
	for _, i := range slices.Backward(n.sorted) {
		// What follows can end as late as its slack says.
		slacks[i] = length - finish[i]
		for _, j := range n.next[i] {
			start := finish[j] - n.Activities[j].Expected()
			slacks[i] = min(slacks[i], start+slacks[j]-finish[i])
		}
	}
	for i, s := range slacks {
		slacks[i] = nought(s)
	}
	return slacks
}

// nought takes what the last bits of a sum leave over for nothing.
func nought(x float64) float64 {
	if math.Abs(x) < same {
		return 0
	}
	return x
}

// chain is the longest chain of activities up to and with one of them.
type chain struct {
	length, variance float64
	before           int // the activity before it on the chain; -1 for none
}

// longer reports whether a chain is longer than another, or as long and less certain.
func (c chain) longer(d chain) bool {
	if math.Abs(c.length-d.length) > same {
		return c.length > d.length
	}
	return c.variance > d.variance+same
}

// heads returns, for each activity, the longest chain that ends with it.
func (n *Network) heads() []chain { return n.chains(n.sorted, n.prev) }

// tails returns, for each activity, the longest chain that starts with it;
// "before" then leads to the activity after it.
func (n *Network) tails() []chain {
	backward := slices.Clone(n.sorted)
	slices.Reverse(backward)
	return n.chains(backward, n.next)
}

func (n *Network) chains(sorted []int, from [][]int) []chain {
	out := make([]chain, len(sorted))
	for _, i := range sorted {
		best := chain{before: -1}
		for _, j := range from[i] {
			if c := (chain{out[j].length, out[j].variance, j}); best.before < 0 || c.longer(best) {
				best = c
			}
		}
		d := n.Activities[i].Deviation()
		best.length += n.Activities[i].Expected()
		best.variance += d * d
		out[i] = best
	}
	return out
}

// longest returns, of the activities that none follows, the one with the longest chain; -1 when there is none.
func (n *Network) longest(heads []chain) int {
	end := -1
	for i, c := range heads {
		if len(n.next[i]) == 0 && (end < 0 || c.longer(heads[end])) {
			end = i
		}
	}
	return end
}

// walk returns the chain that ends with an activity, in its order.
func walk(heads []chain, end int) []int {
	var out []int
	for i := end; i >= 0; i = heads[i].before {
		out = append(out, i)
	}
	slices.Reverse(out)
	return out
}
