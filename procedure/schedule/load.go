package schedule

import (
	"math"
	"slices"
)

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
	// earlier holds, for each activity, all that must come before it.
	earlier []set
	// line is room for serial to count in.
	line *timeline
}

// ticks is the activity's expected time. One without a time counts as one tick, so that somebody does it.
func (a *Activity) ticks() ticks { return max(toTicks(Expected(a.Time)), 1) }

// load takes some activities of the network that have no others between them.
func (n *Network) load(activities []int, people int) *load {
	l := &load{n: len(activities), capacity: []int{people}}
	at := make([]int, len(n.Activities)) // the place among them, from 1; 0 for all others
	for k, i := range activities {
		at[i] = k + 1
	}
	among := func(list []int) (out []int) {
		for _, j := range list {
			if k := at[j]; k > 0 {
				out = append(out, k-1)
			}
		}
		return out
	}
	var things []string // of the resources from 1 on
	l.length, l.needs = make([]ticks, l.n), make([][]need, l.n)
	l.prev, l.next = make([][]int, l.n), make([][]int, l.n)
	for k, i := range activities {
		a := &n.Activities[i]
		l.needs[k] = append(make([]need, 0, 1+len(a.Uses)), need{0, a.crew()})
		for _, t := range a.Uses {
			r := slices.Index(things, t.ID)
			if r < 0 {
				r = len(things)
				things, l.capacity = append(things, t.ID), append(l.capacity, 1)
			}
			l.needs[k] = append(l.needs[k], need{r + 1, 1})
		}
		l.length[k] = a.ticks()
		l.prev[k], l.next[k] = among(n.prev[i]), among(n.next[i])
	}
	l.sorted = among(n.sorted)
	l.earlier = earlier(l.sorted, l.prev)
	l.line = newTimeline(l.n, len(l.capacity))
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
