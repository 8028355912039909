package schedule

import (
	"math/bits"
	"slices"
)

// The exact search looks at sets of up to 64 activities and gives up after a
// number of partial schedules, so that it costs a fraction of a second at most.
const (
	exactLimit   = 64
	exactPartial = 40_000
)

// search is a branch-and-bound search for the shortest schedule. It builds
// schedules by starting activities in the order of their starts, each as early as
// it can. Sets of activities are the bits of a word.
//
// Source: precedence tree, Patterson, Słowiński, Talbot and Węglarz, 1989; left-shift
// and cut-set rules, Demeulemeester and Herroelen, 1992 (from memory).
type search struct {
	*load
	before  []uint64 // of each activity, those that must end before it starts
	takes   []int    // activity by activity, how much it takes of each resource
	twin    []int    // of each activity, the last before it that differs from it in nothing; -1 for none
	ends    []ticks  // of the started activities
	best    []ticks  // the starts of the shortest schedule so far
	span    ticks    // of the best
	bound   ticks
	visited int
	effort  int // how many partial schedules it may visit
	// seen leads from a set of started activities to the last of the states with it
	// that were searched from, as a place in partials, counted from 1.
	seen     map[uint64]int
	partials []partial
	// busy holds what these states have running.
	busy []busy
	// choices holds the choices of all partial schedules that are being searched, those of the last at the end.
	choices []choice
	left    []ticks // room for hopeless to count in
}

// partial is a state of the search: when the last activity started, and what goes on after that.
type partial struct {
	last     ticks
	from, to int // its place in search.busy
	before   int // the state before it with the same activities started; 0 for none
}

// busy is an activity that goes on up to a time.
type busy struct {
	activity int
	end      ticks
}

// choice is an activity that can start next.
type choice struct {
	activity int
	start    ticks
}

// exact shortens a schedule as far as possible. ok is false when it gave up:
// then the schedule may not be the shortest.
func (l *load) exact(starts []ticks, bound ticks, effort int) (best []ticks, ok bool) {
	if l.span(starts) == bound {
		return starts, true
	}
	if l.n > exactLimit {
		return starts, false
	}
	s := &l.search
	s.load, s.best, s.span, s.bound = l, starts, l.span(starts), bound
	s.visited, s.effort = 0, effort
	s.before, s.takes, s.ends = zeroed(s.before, l.n), zeroed(s.takes, l.n*len(l.capacity)), zeroed(s.ends, l.n)
	s.left = zeroed(s.left, len(l.capacity))
	for i := range l.n {
		for _, j := range l.prev[i] {
			s.before[i] |= 1 << j
		}
		for _, n := range l.needs[i] {
			s.takes[i*len(l.capacity)+n.resource] = n.amount
		}
	}
	s.findTwins()
	if s.seen == nil {
		const usual = 128 // states; in most searches there are no more
		s.seen = map[uint64]int{}
		s.partials, s.busy = make([]partial, 0, usual), make([]busy, 0, 2*usual)
	}
	clear(s.seen)
	s.partials, s.busy = s.partials[:0], s.busy[:0]
	ok = s.from(0, 0, 0)
	return s.best, ok
}

// findTwins finds, for each activity, the last before it that takes as long, needs
// the same and stands in the same place of the order.
func (s *search) findTwins() {
	l := s.load
	s.twin = zeroed(s.twin, l.n)
	for i := range s.twin {
		s.twin[i] = -1
		for j := i - 1; j >= 0 && s.twin[i] < 0; j-- {
			if l.length[i] == l.length[j] && slices.Equal(l.needs[i], l.needs[j]) && slices.Equal(l.prev[i], l.prev[j]) && slices.Equal(l.next[i], l.next[j]) {
				s.twin[i] = j
			}
		}
	}
}

// from searches on from a set of started activities, the last of which started at
// a time; those that went on when the one before it started, and the last itself, may go
// on after that. It returns false when the search has to be given up.
func (s *search) from(started, goingOn uint64, last ticks) bool {
	if bits.OnesCount64(started) == s.n {
		s.keep()
		return true
	}
	if s.visited++; s.visited > s.effort {
		return false
	}
	running := s.running(goingOn, last)
	if s.hopeless(started, last) || s.known(started, running, last) {
		return true
	}
	first := len(s.choices)
	s.choose(started, running, last)
	ok := true
	for k := first; k < len(s.choices) && ok && s.span > s.bound; k++ {
		c := s.choices[k]
		s.ends[c.activity] = c.start + s.length[c.activity]
		ok = s.from(started|1<<c.activity, running|1<<c.activity, c.start)
	}
	s.choices = s.choices[:first]
	return ok
}

// keep takes the finished schedule for the best, if it is shorter.
func (s *search) keep() {
	if span := slices.Max(s.ends); span < s.span {
		s.span, s.best = span, make([]ticks, s.n)
		for i, end := range s.ends {
			s.best[i] = end - s.length[i]
		}
	}
}

// running is the set of those of some activities that go on after a time.
func (s *search) running(of uint64, last ticks) uint64 {
	out := uint64(0)
	for set := of; set != 0; set &= set - 1 {
		if i := bits.TrailingZeros64(set); s.ends[i] > last {
			out |= 1 << i
		}
	}
	return out
}

// choose adds to the choices what can start next, the earliest first, then what has the longest
// way to the end. What another choice could be over and done with before is left
// out: that other one would be started earlier in a schedule as short.
func (s *search) choose(started, running uint64, last ticks) {
	first, firstEnd := len(s.choices), ticks(-1)
	for i := range s.n {
		if started>>i&1 == 1 || s.before[i]&^started != 0 {
			continue
		}
		if twin := s.twin[i]; twin >= 0 && started>>twin&1 == 0 {
			continue // its twin goes first: the other way round is the same schedule
		}
		earliest := last
		for set := s.before[i] & running; set != 0; set &= set - 1 {
			earliest = max(earliest, s.ends[bits.TrailingZeros64(set)])
		}
		start := s.fit(i, running, earliest)
		s.choices = append(s.choices, choice{i, start})
		if end := start + s.length[i]; firstEnd < 0 || end < firstEnd {
			firstEnd = end
		}
	}
	mine := s.choices[first:first]
	for _, c := range s.choices[first:] {
		if c.start >= firstEnd {
			continue
		}
		mine = append(mine, c)
		for k := len(mine) - 1; k > 0 && s.sooner(c, mine[k-1]); k-- {
			mine[k-1], mine[k] = c, mine[k-1]
		}
	}
	s.choices = s.choices[:first+len(mine)]
}

// sooner reports whether a choice is tried before another.
func (s *search) sooner(a, b choice) bool {
	if a.start != b.start {
		return a.start < b.start
	}
	if s.tail[a.activity] != s.tail[b.activity] {
		return s.tail[a.activity] > s.tail[b.activity]
	}
	return a.activity < b.activity
}

// fit returns the earliest time, from a given one on, at which what an activity
// needs is free. Nothing has started after that time, so what is free stays free.
func (s *search) fit(activity int, running uint64, earliest ticks) ticks {
	for {
		next, free := ticks(-1), true
		for _, n := range s.needs[activity] {
			used := n.amount
			for set := running; set != 0; set &= set - 1 {
				i := bits.TrailingZeros64(set)
				if s.ends[i] <= earliest {
					continue
				}
				used += s.takes[i*len(s.capacity)+n.resource]
				if next < 0 || s.ends[i] < next {
					next = s.ends[i]
				}
			}
			free = free && used <= s.capacity[n.resource]
		}
		if free {
			return earliest
		}
		earliest = next
	}
}

// hopeless reports whether no schedule from here can be shorter than the best: by the ways
// to the end from what has not started, and by the work that is left.
func (s *search) hopeless(started uint64, last ticks) bool {
	clear(s.left)
	for i, left := range s.length {
		if started>>i&1 == 1 {
			left = max(s.ends[i]-last, 0)
		} else {
			// An activity that waits for others which have not started is on the way from one of those.
			at := last
			for set := s.before[i] & started; set != 0; set &= set - 1 {
				at = max(at, s.ends[bits.TrailingZeros64(set)])
			}
			if at+s.tail[i] >= s.span {
				return true
			}
		}
		for _, n := range s.needs[i] {
			s.left[n.resource] += n.times(left)
		}
	}
	for r, w := range s.left {
		if last+ceil(w, s.capacity[r]) >= s.span {
			return true
		}
	}
	return false
}

// known reports whether the search has been at the same set of started activities
// with everything ended as early, and otherwise remembers this state.
func (s *search) known(started, running uint64, last ticks) bool {
	at := s.seen[started]
	for k := at; k > 0; k = s.partials[k-1].before {
		// Whatever can follow on this state can follow on p as early.
		p := s.partials[k-1]
		if p.last <= last && !slices.ContainsFunc(s.busy[p.from:p.to], func(b busy) bool { return b.end > max(s.ends[b.activity], last) }) {
			return true
		}
	}
	first := len(s.busy)
	for set := running; set != 0; set &= set - 1 {
		i := bits.TrailingZeros64(set)
		s.busy = append(s.busy, busy{i, s.ends[i]})
	}
	s.partials = append(s.partials, partial{last, first, len(s.busy), at})
	s.seen[started] = len(s.partials)
	return false
}
