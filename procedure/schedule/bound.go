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
	for r, capacity := range l.capacity {
		l.work = zeroed(l.work, l.n)
		for i, needs := range l.needs {
			for _, n := range needs {
				if n.resource == r {
					l.work[i] = n.times(l.length[i])
				}
			}
		}
		out = max(out, l.workBound(l.work, capacity))
	}
	return l.endFrom(out)
}

// apartBound raises a bound by sets of activities no two of which can overlap: one
// set around each activity, long activities first. Sets by the order alone are ways
// through the network, which the bound holds already.
//
// Source: Mingozzi, Maniezzo, Ricciardelli and Bianco, 1998 (from memory).
func (l *load) apartBound(bound ticks) ticks {
	if l.n > cliqueLimit {
		return bound
	}
	apart, byNeeds := l.apart()
	if !byNeeds {
		return bound
	}
	long := make([]int, l.n)
	for i := range long {
		long[i] = i
	}
	slices.SortStableFunc(long, func(a, b int) int { return cmp.Compare(l.length[b], l.length[a]) })
	members := newSets(1, l.n)[0]
	for seed := range l.n {
		clear(members)
		members.add(seed)
		l.work = zeroed(l.work, l.n)
		l.work[seed] = l.length[seed]
		for _, i := range long {
			if apart[i].hasAll(members) {
				members.add(i)
				l.work[i] = l.length[i]
			}
		}
		bound = max(bound, l.workBound(l.work, 1))
	}
	return l.endFrom(bound)
}

// shareBound bounds the length by how many activities somebody must do: of the
// km + 1 longest, one of m people does k + 1 at least, which take no less than the
// shortest k + 1 of them. An activity for several people counts once for each.
//
// Source: bounds for parallel machines, Dell'Amico and Martello, 1995 (from memory).
func (l *load) shareBound() ticks {
	lengths := l.shares[:0]
	for i, needs := range l.needs {
		for range needs[0].amount {
			lengths = append(lengths, l.length[i])
		}
	}
	slices.SortFunc(lengths, func(a, b ticks) int { return cmp.Compare(b, a) })
	l.shares = lengths
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

// sums are the times that some of the activities take together. Those that stand
// for no time are left out.
type sums struct {
	short, unit, all ticks
	// of holds the sums, counted in units; nil when there are too many.
	of *big.Int
}

func (l *load) allSums() *sums {
	if l.sums != nil {
		return l.sums
	}
	s := new(sums)
	l.sums = s
	for _, x := range l.length {
		if x == 1 { // stands for no time
			s.short++
			continue
		}
		s.all += x
		for y := x; y != 0; {
			s.unit, y = y, s.unit%y
		}
	}
	if s.unit == 0 || s.all/s.unit > sumsLimit {
		return s
	}
	s.of = new(big.Int).SetBit(new(big.Int), 0, 1)
	moved := new(big.Int)
	for _, x := range l.length {
		if x > 1 {
			s.of.Or(s.of, moved.Lsh(s.of, uint(x/s.unit)))
		}
	}
	return s
}

// endFrom returns the earliest time from a bound on at which a shortest schedule
// can end: when no activity can be moved earlier, those that lead to the end follow
// each other without a gap, so it ends at a sum of lengths.
func (l *load) endFrom(bound ticks) ticks {
	s := l.allSums()
	if s.of == nil || s.all < bound-s.short {
		return bound
	}
	at := max(ceil(bound-s.short, int(s.unit)), 0)
	for s.of.Bit(int(at)) == 0 {
		at++
	}
	return max(bound, at*s.unit)
}

// workBound bounds the length by work on one resource; activities without work do not use it.
func (l *load) workBound(work []ticks, capacity int) ticks {
	out := ticks(0)
	for first, w := range work {
		if w == 0 {
			continue
		}
		head, sum := l.head[first], ticks(0)
		for _, i := range l.byTail {
			if work[i] > 0 && l.head[i] >= head {
				sum += work[i]
				out = max(out, head+ceil(sum, capacity)+l.after(i))
			}
		}
	}
	return out
}

// apart tells of each activity which others can never overlap with it: one must
// come before the other, or a resource is not enough for both. ByNeeds is true when
// a resource sets two apart that the order does not.
func (l *load) apart() (out []set, byNeeds bool) {
	out = newSets(l.n, l.n)
	for i := range l.n {
		out[i].join(l.earlier[i])
		for j := range l.n {
			if l.earlier[i].has(j) {
				out[j].add(i)
			}
		}
	}
	for i := range l.n {
		for j := range i {
			if !out[i].has(j) && l.tooMuch(i, j) {
				out[i].add(j)
				out[j].add(i)
				byNeeds = true
			}
		}
	}
	return out, byNeeds
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
