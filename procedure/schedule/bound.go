package schedule

import (
	"cmp"
	"slices"
)

// cliqueLimit bounds the number of activities for which sets that cannot overlap are looked for.
const cliqueLimit = 120

// bound returns a time below which no schedule can be: the longest of the
// critical path and of what people, single things and activities that cannot
// overlap take together.
//
// For activities that all start at h at the earliest and from whose ends a way of
// q or more leads to the end of all, no schedule is shorter than h plus q plus
// their work on a resource over its capacity.
//
// Source: critical path and resource bounds as in Stinson, Davis and Khumawala,
// 1978; sets of activities that cannot overlap, Mingozzi et al., 1998 (from memory).
func (l *load) bound() ticks {
	out := ticks(0)
	for i := range l.n {
		out = max(out, l.head[i]+l.tail[i])
	}
	for r, capacity := range l.capacity {
		work := make([]ticks, l.n)
		for i, needs := range l.needs {
			for _, n := range needs {
				if n.resource == r {
					work[i] = n.times(l.length[i])
				}
			}
		}
		out = max(out, l.workBound(work, capacity))
	}
	if l.n <= cliqueLimit {
		for _, work := range l.cliques() {
			out = max(out, l.workBound(work, 1))
		}
	}
	return out
}

// workBound bounds the length by work on one resource; activities without work do not use it.
func (l *load) workBound(work []ticks, capacity int) ticks {
	var users []int
	for i, w := range work {
		if w > 0 {
			users = append(users, i)
		}
	}
	after := func(i int) ticks { return l.tail[i] - l.length[i] }
	slices.SortFunc(users, func(a, b int) int { return cmp.Or(cmp.Compare(after(b), after(a)), cmp.Compare(a, b)) })
	out := ticks(0)
	for _, first := range users {
		sum := ticks(0)
		for _, i := range users {
			if l.head[i] >= l.head[first] {
				sum += work[i]
				out = max(out, l.head[first]+ceil(sum, capacity)+after(i))
			}
		}
	}
	return out
}

// cliques looks for sets of activities no two of which can overlap, one around
// each activity, long activities first. Each is returned as the work of its members.
func (l *load) cliques() [][]ticks {
	apart := l.apart()
	long := make([]int, l.n)
	for i := range long {
		long[i] = i
	}
	slices.SortStableFunc(long, func(a, b int) int { return cmp.Compare(l.length[b], l.length[a]) })
	out := make([][]ticks, l.n)
	for seed := range l.n {
		members := []int{seed}
		for _, i := range long {
			if !slices.ContainsFunc(members, func(j int) bool { return !apart[i][j] }) {
				members = append(members, i)
			}
		}
		out[seed] = make([]ticks, l.n)
		for _, i := range members {
			out[seed][i] = l.length[i]
		}
	}
	return out
}

// apart tells for each two activities whether they can never overlap: one must
// come before the other, or a resource is not enough for both.
func (l *load) apart() [][]bool {
	out := make([][]bool, l.n)
	for i := range out {
		out[i] = make([]bool, l.n)
	}
	for i := range l.n {
		for _, j := range l.followers(i) {
			out[i][j], out[j][i] = true, true
		}
		for j := range i {
			if l.tooMuch(i, j) {
				out[i][j], out[j][i] = true, true
			}
		}
	}
	return out
}

func (l *load) tooMuch(i, j int) bool {
	for _, a := range l.needs[i] {
		for _, b := range l.needs[j] {
			if a.resource == b.resource && a.amount+b.amount > l.capacity[a.resource] {
				return true
			}
		}
	}
	return false
}
