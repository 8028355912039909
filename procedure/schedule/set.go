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
func (s set) size() int {
	n := 0
	for _, w := range s {
		n += bits.OnesCount64(w)
	}
	return n
}

// earlier returns, for each node, all that must come before it, from an order of the nodes and what comes right before each.
func earlier(sorted []int, prev [][]int) []set {
	out := make([]set, len(sorted))
	size := (len(sorted) + 63) / 64
	words := make(set, len(sorted)*size)
	for _, i := range sorted {
		out[i], words = words[:size:size], words[size:]
		for _, j := range prev[i] {
			out[i].add(j)
			out[i].join(out[j])
		}
	}
	return out
}
