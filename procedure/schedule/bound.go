package schedule

import (
	"cmp"
	"math/big"
	"slices"
)

// cliqueLimit bounds the number of activities for which sets that cannot overlap are looked for.
const cliqueLimit = 120

// bound returns a time below which no schedule can be: the longest of the
// critical path and of what people and single things take together, rounded up to
// a time at which a schedule can end.
//
// For activities that all start at h at the earliest and from whose ends a way of
// q or more leads to the end of all, no schedule is shorter than h plus q plus
// their work on a resource over its capacity.
//
// Source: critical path and resource bounds as in Stinson, Davis and Khumawala,
// 1978 (from memory).
func (l *load) bound() ticks {
	out := l.shareBound()
	for i := range l.n {
		out = max(out, l.head[i]+l.tail[i])
	}
	work := make([]ticks, l.n)
	for r, capacity := range l.capacity {
		clear(work)
		for i, needs := range l.needs {
			for _, n := range needs {
				if n.resource == r {
					work[i] = n.times(l.length[i])
				}
			}
		}
		out = max(out, l.workBound(work, capacity))
	}
	return l.endFrom(out)
}

// apartBound raises a bound by sets of activities no two of which can overlap.
//
// Source: Mingozzi, Maniezzo, Ricciardelli and Bianco, 1998 (from memory).
func (l *load) apartBound(bound ticks) ticks {
	if l.n > cliqueLimit {
		return bound
	}
	apart := l.apart()
	if !slices.ContainsFunc(apart, func(row []bool) bool { return slices.Contains(row, true) }) {
		return bound
	}
	for _, work := range l.cliques(apart) {
		bound = max(bound, l.workBound(work, 1))
	}
	return l.endFrom(bound)
}

// shareBound bounds the length by how many activities somebody must do: of the
// km + 1 longest, one of m people does k + 1 at least, which take no less than the
// shortest k + 1 of them. An activity for several people counts once for each.
//
// Source: bounds for parallel machines, Dell'Amico and Martello, 1995 (from memory).
func (l *load) shareBound() ticks {
	var lengths []ticks
	for i, needs := range l.needs {
		for range needs[0].amount {
			lengths = append(lengths, l.length[i])
		}
	}
	slices.SortFunc(lengths, func(a, b ticks) int { return cmp.Compare(b, a) })
	out := ticks(0)
	for k := 1; k*l.capacity[0] < len(lengths); k++ {
		last, sum := k*l.capacity[0], ticks(0)
		for _, x := range lengths[last-k : last+1] {
			sum += x
		}
		out = max(out, sum)
	}
	return out
}

// sumsLimit bounds the size of the set of sums that endFrom looks at.
const sumsLimit = 1 << 14

// endFrom returns the earliest time from a bound on at which a shortest schedule
// can end: when no activity can be moved earlier, those that lead to the end follow
// each other without a gap, so it ends at a sum of lengths.
func (l *load) endFrom(bound ticks) ticks {
	var long []ticks
	short, unit, all := ticks(0), ticks(0), ticks(0)
	for _, x := range l.length {
		if x == 1 { // stands for no time
			short++
			continue
		}
		long, all = append(long, x), all+x
		for y := x; y != 0; {
			unit, y = y, unit%y
		}
	}
	if unit == 0 || all/unit > sumsLimit || all < bound-short {
		return bound
	}
	sums := new(big.Int).SetBit(new(big.Int), 0, 1)
	moved := new(big.Int)
	for _, x := range long {
		sums.Or(sums, moved.Lsh(sums, uint(x/unit)))
	}
	at := max(ceil(bound-short, int(unit)), 0)
	for sums.Bit(int(at)) == 0 {
		at++
	}
	return max(bound, at*unit)
}

// workBound bounds the length by work on one resource; activities without work do not use it.
func (l *load) workBound(work []ticks, capacity int) ticks {
	users := make([]int, 0, len(work))
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
func (l *load) cliques(apart [][]bool) [][]ticks {
	long := make([]int, l.n)
	for i := range long {
		long[i] = i
	}
	slices.SortStableFunc(long, func(a, b int) int { return cmp.Compare(l.length[b], l.length[a]) })
	out := make([][]ticks, l.n)
	room, members := make([]ticks, l.n*l.n), make([]int, 0, l.n)
	for seed := range l.n {
		members = append(members[:0], seed)
		for _, i := range long {
			if !slices.ContainsFunc(members, func(j int) bool { return !apart[i][j] }) {
				members = append(members, i)
			}
		}
		out[seed], room = room[:l.n], room[l.n:]
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
	room := make([]bool, l.n*l.n)
	for i := range out {
		out[i], room = room[:l.n], room[l.n:]
	}
	for i := range l.n {
		for j := range l.n {
			if l.earlier[j].has(i) {
				out[i][j], out[j][i] = true, true
			}
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
