package schedule

import "math/bits"

// set is a set of small whole numbers.
type set []uint64

func (s set) add(i int)      { s[i/64] |= 1 << (i % 64) }
func (s set) has(i int) bool { return s[i/64]>>(i%64)&1 == 1 }
func (s set) join(t set) {
	for i := range s {
		s[i] |= t[i]
	}
}
func (s set) hasAll(t set) bool {
	for i := range t {
		if t[i]&^s[i] != 0 {
			return false
		}
	}
	return true
}
func (s set) size() int {
	n := 0
	for _, w := range s {
		n += bits.OnesCount64(w)
	}
	return n
}

// newSets returns empty sets of numbers below a limit.
func newSets(count, limit int) []set {
	out := make([]set, count)
	size := (limit + 63) / 64
	words := make(set, count*size)
	for i := range out {
		out[i], words = words[:size:size], words[size:]
	}
	return out
}

// earlier returns, for each node, all that must come before it, from an order of the nodes and what comes right before each.
func earlier(sorted []int, prev [][]int) []set {
	out := newSets(len(sorted), len(sorted))
	for _, i := range sorted {
		for _, j := range prev[i] {
			out[i].add(j)
			out[i].join(out[j])
		}
	}
	return out
}
