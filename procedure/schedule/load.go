package schedule

import (
	"cmp"
	"math"
	"math/rand/v2"
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
	// byTail holds the activities by how long a way leads from their ends to the end of all, the longest first.
	byTail []int
	*once
	*room
}

// once is what is worked out of a load when it is first asked for.
type once struct {
	back   *load      // mirrored
	sums   *sums      // for endFrom
	lists  [][]int    // for generate; nil for one that equals one before it
	random *rand.Rand // shakes the lists
}

// room is where the methods of a load count. All loads of a network share it.
type room struct {
	line         timeline
	search       search
	work, shares []ticks
	order        []int
	// starts are the schedules that generate compares.
	starts [3][]ticks
}

// zeroed returns a list of n zeros, in the room of another if it is large enough.
func zeroed[T any](list []T, n int) []T {
	if cap(list) < n {
		return make([]T, n)
	}
	list = list[:n]
	clear(list)
	return list
}

// ticks is the activity's expected time. One without a time counts as one tick, so that somebody does it.
func (a *Activity) ticks() ticks { return max(toTicks(Expected(a.Time)), 1) }

// load takes some activities of the network that have no others between them.
func (n *Network) load(activities []int, people int, r *room) *load {
	l := &load{n: len(activities), capacity: []int{people}, once: new(once), room: r}
	at := make([]int, len(n.Activities)) // the place among them, from 1; 0 for all others
	edges, uses := 0, 0
	for k, i := range activities {
		at[i] = k + 1
		edges += len(n.prev[i]) + len(n.next[i])
		uses += len(n.Activities[i].Uses)
	}
	places := make([]int, 0, edges+l.n)
	among := func(list []int) []int {
		first := len(places)
		for _, j := range list {
			if k := at[j]; k > 0 {
				places = append(places, k-1)
			}
		}
		return slices.Clip(places[first:])
	}
	var things []string // of the resources from 1 on
	l.length, l.needs = make([]ticks, l.n), make([][]need, l.n)
	l.prev, l.next = make([][]int, l.n), make([][]int, l.n)
	needs := make([]need, 0, l.n+uses)
	for k, i := range activities {
		a := &n.Activities[i]
		first := len(needs)
		needs = append(needs, need{0, a.crew()})
		for _, t := range a.Uses {
			r := slices.Index(things, t.ID)
			if r < 0 {
				r = len(things)
				things, l.capacity = append(things, t.ID), append(l.capacity, 1)
			}
			needs = append(needs, need{r + 1, 1})
		}
		l.needs[k] = slices.Clip(needs[first:])
		l.length[k] = a.ticks()
		l.prev[k], l.next[k] = among(n.prev[i]), among(n.next[i])
	}
	l.sorted = among(n.sorted)
	l.earlier = earlier(l.sorted, l.prev)
	l.measure()
	l.byTail = make([]int, l.n)
	for i := range l.byTail {
		l.byTail[i] = i
	}
	slices.SortFunc(l.byTail, func(a, b int) int { return cmp.Or(cmp.Compare(l.after(b), l.after(a)), cmp.Compare(a, b)) })
	return l
}

// after is the longest way from an activity's end to the end of all.
func (l *load) after(i int) ticks { return l.tail[i] - l.length[i] }

// mirrored is the same load with time running backward. No bounds can be worked out of it.
func (l *load) mirrored() *load {
	if l.back != nil {
		return l.back
	}
	m := *l
	m.prev, m.next = l.next, l.prev
	m.sorted = make([]int, l.n)
	for k, i := range l.sorted {
		m.sorted[l.n-1-k] = i
	}
	m.measure()
	m.once = &once{back: l}
	l.back = &m
	return &m
}

func (l *load) measure() {
	l.place = make([]int, l.n)
	both := make([]ticks, 2*l.n)
	l.head, l.tail = both[:l.n:l.n], both[l.n:]
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
