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
// limits them. Resource 0 is the people; each thing that can hold activities up is another.
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
func (a *Activity) ticks() ticks { return max(toTicks(a.Expected()), 1) }

// load takes some activities of the network that have no others between them.
func (n *Network) load(activities []int, people Tickets, r *room) *load {
	l := &load{n: len(activities), capacity: []int{len(people)}, once: new(once), room: r}
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
	limits := people.limits(n.Trades())
	l.length, l.needs = make([]ticks, l.n), make([][]need, l.n)
	l.prev, l.next = make([][]int, l.n), make([][]int, l.n)
	var needs []need
	if len(limits) == 0 {
		needs = make([]need, 0, l.n+uses)
	}
	for k, i := range activities {
		a := &n.Activities[i]
		first := len(needs)
		needs = append(needs, need{0, a.crew()})
		takes := func(thing string, count, pieces int) {
			r := slices.Index(things, thing)
			if r < 0 {
				r = len(things)
				things, l.capacity = append(things, thing), append(l.capacity, count)
			}
			needs = append(needs, need{r + 1, pieces})
		}
		for _, t := range a.Uses {
			takes(t.ID, t.count(), t.pieces())
		}
		for _, x := range limits {
			if pieces := x.takes(a); pieces > 0 {
				takes(x.name(), x.people, pieces)
			}
		}
		l.needs[k] = slices.Clip(needs[first:])
		l.length[k] = a.ticks()
		l.prev[k], l.next[k] = among(n.prev[i]), among(n.next[i])
	}
	l.sorted = among(n.sorted)
	l.earlier = earlier(l.sorted, l.prev)
	l.leaveOutIdle()
	l.measure()
	l.byTail = make([]int, l.n)
	for i := range l.byTail {
		l.byTail[i] = i
	}
	slices.SortFunc(l.byTail, func(a, b int) int { return cmp.Or(cmp.Compare(l.after(b), l.after(a)), cmp.Compare(a, b)) })
	return l
}

// leaveOutIdle takes out the things that hold nothing up: those that are enough for all their
// users that can overlap, and those that are needed only where another, of which there are no
// more, is needed as much.
func (l *load) leaveOutIdle() {
	takes := make([][]int, len(l.capacity)) // of each resource, how much each activity takes
	for r := range takes {
		takes[r] = make([]int, l.n)
	}
	for i, needs := range l.needs {
		for _, n := range needs {
			takes[n.resource][i] = n.amount
		}
	}
	stays := make([]bool, len(takes))
	for r := 1; r < len(takes); r++ {
		stays[r] = l.contested(takes[r], l.capacity[r])
	}
	place := make([]int, len(takes)) // of each resource that stays; -1 for the others
	capacity := make([]int, 1, len(takes))
	capacity[0] = l.capacity[0]
	for r := 1; r < len(takes); r++ {
		for other := 1; other < len(takes) && stays[r]; other++ {
			stays[r] = other == r || !stays[other] || l.capacity[other] > l.capacity[r] || !covers(takes[other], takes[r])
		}
		place[r] = -1
		if stays[r] {
			place[r] = len(capacity)
			capacity = append(capacity, l.capacity[r])
		}
	}
	l.capacity = capacity
	for i, needs := range l.needs {
		kept := needs[:0]
		for _, n := range needs {
			if n.resource = place[n.resource]; n.resource >= 0 {
				kept = append(kept, n)
			}
		}
		l.needs[i] = kept
	}
}

// contested reports whether a resource may be too little: those of its users that the
// order lets overlap with another one take more than there is.
func (l *load) contested(takes []int, capacity int) bool {
	sum := 0
	for i, x := range takes {
		for j := range takes {
			if x > 0 && takes[j] > 0 && i != j && !l.earlier[i].has(j) && !l.earlier[j].has(i) {
				sum += x
				break
			}
		}
	}
	return sum > capacity
}

// covers reports whether every activity takes at least as much of one resource as of another.
func covers(takes, other []int) bool {
	for i, x := range other {
		if x > takes[i] {
			return false
		}
	}
	return true
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
