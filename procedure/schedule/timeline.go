package schedule

import "slices"

// timeline is how much of each resource is taken, interval by interval. The last
// interval never ends and nothing is taken in it.
type timeline struct {
	from []ticks
	// used holds, interval by interval, how much is taken of each of the resources.
	used      []int
	resources int
}

// empty makes a timeline on which so many resources are free at all times.
func (t *timeline) empty(resources int) {
	t.resources = resources
	t.from = append(t.from[:0], 0)
	t.used = zeroed(t.used, resources)
}

// put finds the earliest start, from the given time on, at which an activity fits, and takes what it needs.
func (t *timeline) put(l *load, activity int, earliest ticks) ticks {
	start, length := earliest, l.length[activity]
	first := t.find(start)
	for i := first; ; i++ {
		if !t.fits(l, activity, i) {
			start, first = t.from[i+1], i+1
			continue
		}
		if i+1 == len(t.from) || t.from[i+1] >= start+length {
			break
		}
	}
	first = t.split(first, start)
	last := t.split(t.find(start+length), start+length)
	for ; first < last; first++ {
		for _, n := range l.needs[activity] {
			t.used[first*t.resources+n.resource] += n.amount
		}
	}
	return start
}

func (t *timeline) fits(l *load, activity, interval int) bool {
	used := t.used[interval*t.resources:]
	for _, n := range l.needs[activity] {
		if used[n.resource]+n.amount > l.capacity[n.resource] {
			return false
		}
	}
	return true
}

// find returns the interval that holds a time.
func (t *timeline) find(at ticks) int {
	low, high := 0, len(t.from)
	for high-low > 1 {
		if mid := (low + high) / 2; t.from[mid] <= at {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// split makes an interval begin at a time that lies in the given one, and returns it.
func (t *timeline) split(interval int, at ticks) int {
	if t.from[interval] == at {
		return interval
	}
	taken := t.used[interval*t.resources : (interval+1)*t.resources]
	interval++
	t.from = slices.Insert(t.from, interval, at)
	t.used = slices.Insert(t.used, interval*t.resources, taken...)
	return interval
}
