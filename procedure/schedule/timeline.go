package schedule

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
// The time is the start of all or the end of an activity that was put before, so an interval begins there.
func (t *timeline) put(l *load, activity int, earliest ticks) ticks {
	needs, length := l.needs[activity], l.length[activity]
	start, first := earliest, t.find(earliest)
	last := first
	for ; ; last++ {
		if !t.fits(needs, l.capacity, last) {
			start, first = t.from[last+1], last+1
			continue
		}
		if last+1 == len(t.from) || t.from[last+1] >= start+length {
			break
		}
	}
	if last+1 == len(t.from) || t.from[last+1] > start+length {
		t.split(last, start+length)
	}
	for ; first <= last; first++ {
		for _, n := range needs {
			t.used[first*t.resources+n.resource] += n.amount
		}
	}
	return start
}

func (t *timeline) fits(needs []need, capacity []int, interval int) bool {
	used := t.used[interval*t.resources:]
	for _, n := range needs {
		if used[n.resource]+n.amount > capacity[n.resource] {
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

// split makes another interval begin at a time within the given one.
func (t *timeline) split(interval int, at ticks) {
	t.from = append(t.from, 0)
	copy(t.from[interval+2:], t.from[interval+1:])
	t.from[interval+1] = at
	taken := t.used[interval*t.resources:]
	t.used = append(t.used, taken[:t.resources]...)
	copy(t.used[(interval+1)*t.resources:], taken)
}
