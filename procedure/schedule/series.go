package schedule

import (
	"cmp"
	"slices"
)

// segments splits the network where everything before must end before anything
// after starts, as hold points and lifts make it do. Each segment can be scheduled
// by itself, and the shortest schedules of all make the shortest of the whole.
func (n *Network) segments() [][]int {
	count := make([]int, len(n.sorted)) // of activities that come before
	for v := range count {
		count[v] = n.earlier[v].size()
	}
	list := slices.Clone(n.sorted) // the segments' room
	slices.SortStableFunc(list, func(a, b int) int { return cmp.Compare(count[a], count[b]) })
	// The first k activities make a segment, or several, when the one after them
	// waits for k activities: those can only be the first k, and all later ones wait for as many.
	var out [][]int
	from := 0
	for k := 1; k <= len(list); k++ {
		if k == len(list) || count[list[k]] >= k {
			slices.Sort(list[from:k])
			out = append(out, list[from:k])
			from = k
		}
	}
	return out
}
