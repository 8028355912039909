package schedule

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"testing"

	"matchmark/procedure/order"
)

// moment is a state of the search in whole minutes: what has started and when it
// ends, and when the last of it started.
type moment struct {
	n       *Network
	crew    int
	started []int
	ends    map[int]int
	last    int
}

// earliest is the first minute, from the last start on, at which an activity can start.
func (m *moment) earliest(i int) int {
	at := m.last
	for _, j := range m.n.prev[i] {
		at = max(at, m.ends[j])
	}
	for {
		fits := true
		for _, d := range demands(m.n, m.crew) {
			used := d.of[i]
			for j, end := range m.ends {
				if end > at {
					used += d.of[j]
				}
			}
			fits = fits && (d.of[i] == 0 || used <= d.capacity)
		}
		if fits {
			return at
		}
		at++
	}
}

// alike reports whether two activities differ in nothing that holds anything up.
func alike(n *Network, i, j int) bool {
	if needs := whole(n, 1).needs; !slices.Equal(needs[i], needs[j]) {
		return false
	}
	return minutesOf(n, i) == minutesOf(n, j) && slices.Equal(n.prev[i], n.prev[j]) && slices.Equal(n.next[i], n.next[j])
}

// ready lists what can start next: its predecessors have started, and so has what is alike and comes before it.
func (m *moment) ready() (out []int) {
	for i := range m.n.Activities {
		ok := !slices.Contains(m.started, i)
		for _, j := range m.n.prev[i] {
			ok = ok && slices.Contains(m.started, j)
		}
		for j := range i {
			ok = ok && (!alike(m.n, i, j) || slices.Contains(m.started, j))
		}
		if ok {
			out = append(out, i)
		}
	}
	return out
}

func (m *moment) start(i int) {
	m.last = m.earliest(i)
	m.started = append(m.started, i)
	m.ends[i] = m.last + minutesOf(m.n, i)
}

// search prepares a search that is at the moment; it returns the sets of what has started and of what goes on.
func (m *moment) search() (s *search, started, running uint64) {
	l := whole(m.n, m.crew)
	l.exact(make([]ticks, l.n), -1, 0) // gives up at once, prepared
	s = &l.search
	for i, end := range m.ends {
		s.ends[i] = toTicks(float64(end))
		started |= 1 << i
		if end > m.last {
			running |= 1 << i
		}
	}
	return s, started, running
}

// moments are states on the way through random networks.
func moments(t *testing.T, seed uint64, visit func(m *moment)) {
	r := rand.New(rand.NewPCG(seed, seed))
	for range 80 {
		m := &moment{n: randomNetwork(t, r, 2+r.IntN(9), 2, r.IntN(3)), crew: 2 + r.IntN(2), ends: map[int]int{}}
		for {
			visit(m)
			ready := m.ready()
			if len(ready) == 0 {
				break
			}
			m.start(ready[r.IntN(len(ready))])
		}
	}
}

func TestWhatGoesOn(t *testing.T) {
	moments(t, 51, func(m *moment) {
		s, started, running := m.search()
		if got := s.running(started, toTicks(float64(m.last))); got != running {
			t.Fatalf("%b of %b go on after %d, want %b", got, started, m.last, running)
		}
	})
}

func TestChoicesMinuteByMinute(t *testing.T) {
	left := 0
	moments(t, 52, func(m *moment) {
		firstEnd := 1 << 30
		starts := map[int]int{}
		for _, i := range m.ready() {
			starts[i] = m.earliest(i)
			firstEnd = min(firstEnd, starts[i]+minutesOf(m.n, i))
		}
		var want []choice
		for _, i := range m.ready() {
			if starts[i] < firstEnd {
				want = append(want, choice{i, toTicks(float64(starts[i]))})
			} else {
				left++
			}
		}
		slices.SortFunc(want, func(a, b choice) int {
			return cmp.Or(cmp.Compare(a.start, b.start),
				cmp.Compare(minutesOf(m.n, b.activity)+wayFrom(m.n, b.activity), minutesOf(m.n, a.activity)+wayFrom(m.n, a.activity)),
				cmp.Compare(a.activity, b.activity))
		})
		s, started, running := m.search()
		others := []choice{{7, 7}}
		s.choices = append(s.choices, others...)
		s.choose(started, running, toTicks(float64(m.last)))
		if got := s.choices[1:]; !slices.Equal(got, want) || s.choices[0] != others[0] {
			t.Fatalf("choices %v, want %v", got, want)
		}
	})
	if left == 0 {
		t.Error("nothing could be left out")
	}
}

// No schedule from a state is shorter than the longest way from it, nor than the work that is left over its capacity.
func TestHopelessFromTheBoundOn(t *testing.T) {
	moments(t, 53, func(m *moment) {
		if len(m.started) == len(m.n.Activities) {
			return
		}
		var earliest func(i int) int
		earliest = func(i int) int {
			at := m.last
			for _, j := range m.n.prev[i] {
				if end, ok := m.ends[j]; ok {
					at = max(at, end)
				} else {
					at = max(at, earliest(j)+minutesOf(m.n, j))
				}
			}
			return at
		}
		bound := ticks(0)
		for i := range m.n.Activities {
			if _, ok := m.ends[i]; !ok {
				bound = max(bound, toTicks(float64(earliest(i)+minutesOf(m.n, i)+wayFrom(m.n, i))))
			}
		}
		for _, d := range demands(m.n, m.crew) {
			work := 0
			for i := range m.n.Activities {
				if end, ok := m.ends[i]; ok {
					work += d.of[i] * max(end-m.last, 0)
				} else {
					work += d.of[i] * minutesOf(m.n, i)
				}
			}
			bound = max(bound, toTicks(float64(m.last)+float64(work)/float64(d.capacity)))
		}
		s, started, _ := m.search()
		for span, want := range map[ticks]bool{bound: true, bound + 1: false} {
			if s.span = span; s.hopeless(started, toTicks(float64(m.last))) != want {
				t.Fatalf("with a schedule of %v there is no hope: %v, want %v; the bound is %v", span, !want, want, bound)
			}
		}
	})
}

// A state is known when one with the same activities started, the last no later, has
// nothing going on for longer.
func TestKnownStates(t *testing.T) {
	n := parallel(t, repeated(fixed(9), 5)...)
	r := rand.New(rand.NewPCG(54, 54))
	for range 50 {
		l := whole(n, 5)
		l.exact(make([]ticks, l.n), -1, 0)
		s := &l.search
		type remembered struct {
			started uint64
			last    ticks
			ends    []ticks
		}
		var all []remembered
		hits := 0
		for range 60 {
			now := remembered{started: []uint64{0b111, 0b1011}[r.IntN(2)], last: ticks(r.IntN(6)), ends: make([]ticks, 5)}
			running := uint64(0)
			for i := range 5 {
				if now.started>>i&1 == 1 {
					now.ends[i] = ticks(r.IntN(12))
					if now.ends[i] > now.last {
						running |= 1 << i
					}
				}
			}
			want := false
			for _, was := range all {
				as := was.started == now.started && was.last <= now.last
				for i, end := range was.ends {
					as = as && (end <= was.last || end <= max(now.ends[i], now.last))
				}
				want = want || as
			}
			copy(s.ends, now.ends)
			if got := s.known(now.started, running, now.last); got != want {
				t.Fatalf("%+v is known: %v, want %v; before it\n%+v", now, got, want, all)
			}
			if want {
				hits++
			} else {
				all = append(all, now)
			}
		}
		if hits == 0 || len(all) < 5 {
			t.Errorf("%d states were known, %d not", hits, len(all))
		}
	}
}

func TestTwins(t *testing.T) {
	graph := order.NewGraph(9)
	for _, i := range []int{0, 1, 2, 3, 4, 5} {
		graph.Add(8, i)
	}
	graph.Add(4, 7)
	n := network(t, parallel(t, fixed(3), fixed(3), fixed(3), fixed(2), fixed(3), fixed(3), fixed(3), fixed(3), fixed(1)).Activities, graph)
	n.Activities[2].People = 2
	s, _, _ := (&moment{n: n, crew: 3}).search()
	// 2 takes two people, 3 less time; 4 has a follower, 6 nothing before it, 7 follows 4.
	if want := []int{-1, 0, -1, -1, -1, 1, -1, -1, -1}; !slices.Equal(s.twin, want) {
		t.Errorf("twins %v, want %v", s.twin, want)
	}
}

// The rules that leave out partial schedules are there for speed: with all of them, the sixty
// networks take 73,001 partial schedules together.
func TestExactSearchIsNarrow(t *testing.T) {
	r := rand.New(rand.NewPCG(55, 55))
	visited, settled := 0, 0
	for range 60 {
		n := randomNetwork(t, r, 12, 2, 3)
		l := whole(n, 2)
		slow := make([]ticks, l.n) // one after the other
		at := ticks(0)
		for _, i := range l.sorted {
			slow[i] = at
			at += l.length[i]
		}
		if _, ok := l.exact(slow, l.bound(), exactPartial); ok {
			settled++
		}
		visited += l.search.visited
	}
	if settled < 60 || visited > 73_100 {
		t.Errorf("%d networks settled, after %d partial schedules", settled, visited)
	}
}

// A schedule as short as the bound is taken as it is; 64 activities are searched, 65 are not; and
// the search gives up after the partial schedules that it may visit.
func TestLimitsOfTheExactSearch(t *testing.T) {
	rowOf := func(size int) (l *load, starts []ticks) {
		l = whole(parallel(t, repeated(fixed(1), size)...), size)
		for i := range size {
			starts = append(starts, toTicks(float64(i)))
		}
		return l, starts
	}
	l, starts := rowOf(exactLimit)
	if best, ok := l.exact(starts, perMinute, exactLimit); !ok || l.span(best) != perMinute {
		t.Errorf("%d activities: %v, settled %v", exactLimit, l.span(best), ok)
	}
	if best, ok := l.exact(starts, perMinute, exactLimit-1); ok || !slices.Equal(best, starts) {
		t.Errorf("one partial schedule too few: %v, settled %v", l.span(best), ok)
	}
	if best, ok := l.exact(starts, l.span(starts), 0); !ok || !slices.Equal(best, starts) {
		t.Errorf("as short as the bound: %v, settled %v", l.span(best), ok)
	}
	l, starts = rowOf(exactLimit + 1)
	if best, ok := l.exact(starts, perMinute, exactPartial); ok || !slices.Equal(best, starts) {
		t.Errorf("%d activities: %v, settled %v", exactLimit+1, l.span(best), ok)
	}
}
