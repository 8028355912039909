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
// random by up to a third. Which of all these lists are tried, the caller says. Every schedule is improved: all activities are moved as
// late as they go without a longer schedule, last first, then as early as they go,
// first first.
//
// Source: serial schedule generation, Kelley, 1963; priority rules as compared by
// Kolisch, 1996; improvement by double justification, Valls, Ballestín and
// Quintanilla, 2005 (all from memory).
func (l *load) generate(best []ticks, bound ticks, from, to int) []ticks {
	for i := range l.starts {
		l.starts[i] = zeroed(l.starts[i], l.n)
	}
	for k := from; k < to && (best == nil || l.span(best) > bound); k++ {
		list := l.list(k)
		if list == nil {
			continue
		}
		starts := l.justified(l.serial(list, l.starts[0]), bound)
		if best == nil || l.span(starts) < l.span(best) {
			best = append(best[:0], starts...)
		}
	}
	return best
}

// mostShaken is how many shaken lists an effort allows.
func (l *load) mostShaken(effort int) int { return min(shakes*effort/exactPartial, 20*l.n) }

// list returns the k-th of the lists to try: those by the rules, then shaken ones.
// It is nil when an earlier one is the same. How many people there are changes no list.
func (l *load) list(k int) []int {
	for len(l.lists) <= k {
		list := l.listBy(l.priority(len(l.lists)))
		if slices.ContainsFunc(l.lists, func(other []int) bool { return slices.Equal(list, other) }) {
			list = nil
		}
		l.lists = append(l.lists, list)
	}
	return l.lists[k]
}

// rules is how many priority rules there are.
const rules = 6

func (l *load) priority(k int) []float64 {
	switch k {
	case 0:
		return l.asWritten()
	case 1:
		return l.byLateStart()
	case 2:
		return l.byLateEnd()
	case 3:
		return l.byFollowers()
	case 4:
		return l.byWeight()
	case 5:
		return l.byWork()
	}
	return l.shaken()
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

func (l *load) byLateEnd() []float64 {
	out := make([]float64, l.n)
	for i := range out {
		out[i] = float64(l.after(i))
	}
	return out
}

// byFollowers puts first what most activities follow.
func (l *load) byFollowers() []float64 {
	out := make([]float64, l.n)
	for i := range out {
		for j := range l.n {
			if l.earlier[j].has(i) {
				out[i]++
			}
		}
	}
	return out
}

// byWeight puts first what is longest together with the activities right after.
func (l *load) byWeight() []float64 {
	out := make([]float64, l.n)
	for i := range out {
		out[i] = float64(l.length[i])
		for _, j := range l.next[i] {
			out[i] += float64(l.length[j])
		}
	}
	return out
}

// byWork puts first what takes most working time together with all that follow.
func (l *load) byWork() []float64 {
	out := make([]float64, l.n)
	for i := range out {
		out[i] = float64(l.needs[i][0].times(l.length[i]))
		for j := range l.n {
			if l.earlier[j].has(i) {
				out[i] += float64(l.needs[j][0].times(l.length[j]))
			}
		}
	}
	return out
}

func (l *load) shaken() []float64 {
	if l.random == nil {
		l.random = rand.New(rand.NewPCG(1, uint64(l.n)))
	}
	out := l.byLateStart()
	for i, p := range out {
		out[i] = p * (1 - l.random.Float64()/3)
	}
	return out
}

// listBy puts the activities in an order that the network allows, the highest priority first where there is a choice.
func (l *load) listBy(priority []float64) []int {
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

// serial starts the activities of a list one after the other, each as early as it can, and writes down when.
func (l *load) serial(list []int, starts []ticks) []ticks {
	l.line.empty(len(l.capacity))
	for _, i := range list {
		earliest := ticks(0)
		for _, j := range l.prev[i] {
			earliest = max(earliest, l.end(j, starts))
		}
		starts[i] = l.line.put(l, i, earliest)
	}
	return starts
}

// justified moves everything late and early again until that makes nothing shorter, or as short as the bound.
// The starts are in the first room for starts; so are the result's, or in the last.
func (l *load) justified(starts []ticks, bound ticks) []ticks {
	back, late, early := l.mirrored(), l.starts[1], l.starts[2]
	for l.span(starts) > bound {
		back.serial(l.byEnd(starts), late)
		l.serial(back.byEnd(late), early)
		if l.span(early) >= l.span(starts) {
			return starts
		}
		starts, early = early, starts
	}
	return starts
}

// byEnd lists the activities by their end, the last first.
func (l *load) byEnd(starts []ticks) []int {
	l.order = append(l.order[:0], l.sorted...)
	slices.SortFunc(l.order, func(a, b int) int {
		if later := cmp.Compare(l.end(b, starts), l.end(a, starts)); later != 0 {
			return later
		}
		return cmp.Compare(l.place[b], l.place[a])
	})
	return l.order
}
