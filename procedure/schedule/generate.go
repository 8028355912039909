package schedule

import (
	"cmp"
	"math/rand/v2"
	"slices"
)

// shakes is how many shaken priority lists are tried on a load at full effort, at most.
const shakes = 200

// generate looks for a short schedule that respects order, people and things. It
// stops as soon as a schedule is as short as the bound.
//
// The serial method takes one activity after the other from a list and starts
// each as early as all before it allow. The list comes from a priority rule. The
// first is the author's own order, which stays when no schedule can be shorter.
// The main one is least late start: of the activities whose predecessors are on the
// list, the one from whose start the longest way leads to the end goes next. Four
// other rules are tried too, and then lists with the main rule's priorities shaken at
// random by up to a third. Every schedule is improved: all activities are moved as
// late as they go without a longer schedule, last first, then as early as they go,
// first first.
//
// Source: serial schedule generation, Kelley, 1963; priority rules as compared by
// Kolisch, 1996; improvement by double justification, Valls, Ballestín and
// Quintanilla, 2005 (all from memory).
func (l *load) generate(bound ticks, effort int) []ticks {
	var back *load
	var best []ticks
	var tried [][]int
	try := func(priority []float64) bool {
		list := l.list(priority)
		if slices.ContainsFunc(tried, func(other []int) bool { return slices.Equal(list, other) }) {
			return false
		}
		tried = append(tried, list)
		starts := l.serial(list)
		if l.span(starts) > bound {
			if back == nil {
				back = l.mirrored()
			}
			starts = l.justified(back, starts)
		}
		if best == nil || l.span(starts) < l.span(best) {
			best = starts
		}
		return l.span(best) == bound
	}
	if try(l.asWritten()) {
		return best
	}
	byLateStart := l.byLateStart()
	if try(byLateStart) {
		return best
	}
	for _, priority := range l.otherRules() {
		if try(priority) {
			return best
		}
	}
	random := rand.New(rand.NewPCG(1, uint64(l.n)))
	shaken := make([]float64, l.n)
	for range min(shakes*effort/exactPartial, 20*l.n) {
		for i, p := range byLateStart {
			shaken[i] = p * (1 - random.Float64()/3)
		}
		if try(shaken) {
			break
		}
	}
	return best
}

// The priority rules return a number for each activity; the highest goes first.

func (l *load) asWritten() []float64 {
	out := make([]float64, l.n)
	for i := range out {
		out[i] = -float64(i)
	}
	return out
}

func (l *load) byLateStart() []float64 {
	out := make([]float64, l.n)
	for i := range out {
		out[i] = float64(l.tail[i])
	}
	return out
}

// otherRules are: least late end; most activities that follow; longest together
// with the activities right after; most working time together with all that follow.
func (l *load) otherRules() [][]float64 {
	byLateEnd, byFollowers := make([]float64, l.n), make([]float64, l.n)
	byWeight, byWork := make([]float64, l.n), make([]float64, l.n)
	for i := range l.n {
		byLateEnd[i] = float64(l.tail[i] - l.length[i])
		byWeight[i] = float64(l.length[i])
		for _, j := range l.next[i] {
			byWeight[i] += float64(l.length[j])
		}
		byWork[i] = float64(l.needs[i][0].times(l.length[i]))
		for j := range l.n {
			if l.earlier[j].has(i) {
				byFollowers[i]++
				byWork[i] += float64(l.needs[j][0].times(l.length[j]))
			}
		}
	}
	return [][]float64{byLateEnd, byFollowers, byWeight, byWork}
}

// list puts the activities in an order that the network allows, the highest priority first where there is a choice.
func (l *load) list(priority []float64) []int {
	waits := make([]int, l.n)
	ready := make([]int, 0, l.n)
	for i := range l.n {
		if waits[i] = len(l.prev[i]); waits[i] == 0 {
			ready = append(ready, i)
		}
	}
	out := make([]int, 0, l.n)
	for len(ready) > 0 {
		best := 0
		for k, i := range ready {
			if j := ready[best]; priority[i] > priority[j] || priority[i] == priority[j] && l.place[i] < l.place[j] {
				best = k
			}
		}
		i := ready[best]
		ready = slices.Delete(ready, best, best+1)
		out = append(out, i)
		for _, j := range l.next[i] {
			if waits[j]--; waits[j] == 0 {
				ready = append(ready, j)
			}
		}
	}
	return out
}

// serial starts the activities of a list one after the other, each as early as it can.
func (l *load) serial(list []int) []ticks {
	starts := make([]ticks, l.n)
	l.line.empty()
	for _, i := range list {
		earliest := ticks(0)
		for _, j := range l.prev[i] {
			earliest = max(earliest, l.end(j, starts))
		}
		starts[i] = l.line.put(l, i, earliest)
	}
	return starts
}

// justified moves everything late and early again until that makes nothing shorter.
func (l *load) justified(back *load, starts []ticks) []ticks {
	for {
		late := back.serial(l.byEnd(starts))
		early := l.serial(back.byEnd(late))
		if l.span(early) >= l.span(starts) {
			return starts
		}
		starts = early
	}
}

// byEnd lists the activities by their end, the last first.
func (l *load) byEnd(starts []ticks) []int {
	out := slices.Clone(l.sorted)
	slices.SortFunc(out, func(a, b int) int {
		if later := cmp.Compare(l.end(b, starts), l.end(a, starts)); later != 0 {
			return later
		}
		return cmp.Compare(l.place[b], l.place[a])
	})
	return out
}
