package schedule

import "math"

// ticks count time in whole thousandths of a second, so that times can be
// compared and added without loss. Sixths of a minute are whole ticks.
type ticks int64

const perMinute = 60_000

func toTicks(minutes float64) ticks        { return ticks(math.Round(minutes * perMinute)) }
func (t ticks) minutes() float64           { return float64(t) / perMinute }
func ceil(work ticks, by int) ticks        { return (work + ticks(by) - 1) / ticks(by) }
func (n need) times(d ticks) ticks         { return ticks(n.amount) * d }
func (l *load) end(i int, s []ticks) ticks { return s[i] + l.length[i] }

// need is how much of a resource an activity takes while it lasts.
type need struct{ resource, amount int }

// load is the activities that are to be scheduled, by their indices, with what
// limits them. Resource 0 is the people; each single thing is a resource of capacity 1.
type load struct {
	n          int
	length     []ticks
	needs      [][]need
	capacity   []int
	prev, next [][]int
	// sorted is an order that the network allows, place the place of each activity in it.
	sorted, place []int
	// head is the earliest start, tail the longest way from an activity's start to the end of all.
	head, tail []ticks
}

// load takes some activities of the network that have no others between them.
// An activity without a time counts as one tick, so that somebody does it.
func (n *Network) load(activities []int, people int) *load {
	l := &load{n: len(activities), capacity: []int{people}}
	at := map[int]int{}
	for k, i := range activities {
		at[i] = k
	}
	things := map[string]int{}
	among := func(list []int) (out []int) {
		for _, j := range list {
			if k, ok := at[j]; ok {
				out = append(out, k)
			}
		}
		return out
	}
	for _, i := range activities {
		a := &n.Activities[i]
		needs := []need{{0, a.crew()}}
		for _, t := range a.Uses {
			r, ok := things[t.ID]
			if !ok {
				r = len(l.capacity)
				things[t.ID] = r
				l.capacity = append(l.capacity, 1)
			}
			needs = append(needs, need{r, 1})
		}
		l.length = append(l.length, max(toTicks(Expected(a.Time)), 1))
		l.needs = append(l.needs, needs)
		l.prev = append(l.prev, among(n.prev[i]))
		l.next = append(l.next, among(n.next[i]))
	}
	l.sorted = among(n.sorted)
	l.measure()
	return l
}

// mirrored is the same load with time running backward.
func (l *load) mirrored() *load {
	m := *l
	m.prev, m.next = l.next, l.prev
	m.sorted = make([]int, l.n)
	for k, i := range l.sorted {
		m.sorted[l.n-1-k] = i
	}
	m.measure()
	return &m
}

func (l *load) measure() {
	l.place, l.head, l.tail = make([]int, l.n), make([]ticks, l.n), make([]ticks, l.n)
	for k, i := range l.sorted {
		l.place[i] = k
		for _, j := range l.prev[i] {
			l.head[i] = max(l.head[i], l.head[j]+l.length[j])
		}
	}
	for k := l.n - 1; k >= 0; k-- {
		i := l.sorted[k]
		for _, j := range l.next[i] {
			l.tail[i] = max(l.tail[i], l.tail[j])
		}
		l.tail[i] += l.length[i]
	}
}

// span is when the last activity ends.
func (l *load) span(starts []ticks) ticks {
	end := ticks(0)
	for i := range starts {
		end = max(end, l.end(i, starts))
	}
	return end
}

// timeline is how much of each resource is taken, interval by interval. The last
// interval never ends and nothing is taken in it.
type timeline struct {
	from []ticks
	used [][]int
}

func (l *load) timeline() *timeline {
	return &timeline{from: []ticks{0}, used: [][]int{make([]int, len(l.capacity))}}
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
			t.used[first][n.resource] += n.amount
		}
	}
	return start
}

func (t *timeline) fits(l *load, activity, interval int) bool {
	for _, n := range l.needs[activity] {
		if t.used[interval][n.resource]+n.amount > l.capacity[n.resource] {
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
	interval++
	t.from = append(t.from, 0)
	copy(t.from[interval+1:], t.from[interval:])
	t.from[interval] = at
	t.used = append(t.used, nil)
	copy(t.used[interval+1:], t.used[interval:])
	t.used[interval] = append([]int(nil), t.used[interval-1]...)
	return interval
}
