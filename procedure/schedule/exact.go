package schedule

import (
	"cmp"
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
// it can.
//
// Source: precedence tree, Patterson, Słowiński, Talbot and Węglarz, 1989; left-shift
// and cut-set rules, Demeulemeester and Herroelen, 1992 (from memory).
type search struct {
	*load
	starts, best []ticks
	span         ticks // of the best
	bound        ticks
	visited      int
	effort       int // how many partial schedules it may visit
	// seen holds, by set of started activities, the states that were searched from.
	seen map[uint64][]partial
}

// partial is a state of the search: when the last activity started, and which end after that.
type partial struct {
	last ticks
	ends []ticks // of every activity; 0 when it has ended by then or is not started
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
	s := &search{load: l, starts: make([]ticks, l.n), best: starts, span: l.span(starts), bound: bound, effort: effort, seen: map[uint64][]partial{}}
	ok = s.from(0, 0)
	return s.best, ok
}

// from searches on from a set of started activities, the last of which started at
// a time. It returns false when the search has to be given up.
func (s *search) from(started uint64, last ticks) bool {
	if started == 1<<s.n-1 {
		if span := s.load.span(s.starts); span < s.span {
			s.best, s.span = slices.Clone(s.starts), span
		}
		return true
	}
	if s.visited++; s.visited > s.effort {
		return false
	}
	if s.hopeless(started, last) || s.known(started, last) {
		return true
	}
	for _, c := range s.choices(started, last) {
		s.starts[c.activity] = c.start
		if !s.from(started|1<<c.activity, c.start) {
			return false
		}
		if s.span == s.bound {
			return true
		}
	}
	return true
}

// choice is an activity that can start next.
type choice struct {
	activity int
	start    ticks
}

// choices lists what can start next, the earliest first, then what has the longest
// way to the end. What another choice could be over and done with before is left
// out: that other one would be started earlier in a schedule as short.
func (s *search) choices(started uint64, last ticks) []choice {
	var out []choice
	firstEnd := ticks(-1)
	for i := range s.n {
		if started>>i&1 == 1 {
			continue
		}
		earliest, ready := last, true
		for _, j := range s.prev[i] {
			ready = ready && started>>j&1 == 1
			earliest = max(earliest, s.end(j, s.starts))
		}
		if !ready {
			continue
		}
		start := s.fit(i, started, earliest)
		out = append(out, choice{i, start})
		if end := start + s.length[i]; firstEnd < 0 || end < firstEnd {
			firstEnd = end
		}
	}
	out = slices.DeleteFunc(out, func(c choice) bool { return c.start >= firstEnd })
	slices.SortFunc(out, func(a, b choice) int {
		return cmp.Or(cmp.Compare(a.start, b.start), cmp.Compare(s.tail[b.activity], s.tail[a.activity]), cmp.Compare(a.activity, b.activity))
	})
	return out
}

// fit returns the earliest time, from a given one on, at which what an activity
// needs is free. Nothing has started after that time, so what is free stays free.
func (s *search) fit(activity int, started uint64, earliest ticks) ticks {
	for {
		next := ticks(-1)
		for _, n := range s.needs[activity] {
			used := n.amount
			for i := range s.n {
				if started>>i&1 == 0 || s.end(i, s.starts) <= earliest {
					continue
				}
				for _, m := range s.needs[i] {
					if m.resource == n.resource {
						used += m.amount
					}
				}
			}
			if used > s.capacity[n.resource] {
				next = s.nextEnd(started, earliest)
				break
			}
		}
		if next < 0 {
			return earliest
		}
		earliest = next
	}
}

// nextEnd returns when the first activity ends after a time.
func (s *search) nextEnd(started uint64, after ticks) ticks {
	next := ticks(-1)
	for i := range s.n {
		if end := s.end(i, s.starts); started>>i&1 == 1 && end > after && (next < 0 || end < next) {
			next = end
		}
	}
	return next
}

// hopeless reports whether no schedule from here can be shorter than the best.
func (s *search) hopeless(started uint64, last ticks) bool {
	earliest := make([]ticks, s.n)
	work := make([]ticks, len(s.capacity))
	for _, i := range s.sorted {
		left := s.length[i]
		if started>>i&1 == 1 {
			left = max(s.end(i, s.starts)-last, 0)
		} else {
			earliest[i] = last
			for _, j := range s.prev[i] {
				if started>>j&1 == 1 {
					earliest[i] = max(earliest[i], s.end(j, s.starts))
				} else {
					earliest[i] = max(earliest[i], earliest[j]+s.length[j])
				}
			}
			if earliest[i]+s.tail[i] >= s.span {
				return true
			}
		}
		for _, n := range s.needs[i] {
			work[n.resource] += n.times(left)
		}
	}
	for r, w := range work {
		if last+ceil(w, s.capacity[r]) >= s.span {
			return true
		}
	}
	return false
}

// known reports whether the search has been at the same set of started activities
// with everything ended as early, and otherwise remembers this state.
func (s *search) known(started uint64, last ticks) bool {
	now := partial{last: last, ends: make([]ticks, s.n)}
	for i := range s.n {
		if end := s.end(i, s.starts); started>>i&1 == 1 && end > last {
			now.ends[i] = end
		}
	}
	for _, p := range s.seen[started] {
		if p.covers(now) {
			return true
		}
	}
	s.seen[started] = append(s.seen[started], now)
	return false
}

// covers reports whether whatever can follow on a state can follow on p as early.
func (p partial) covers(now partial) bool {
	if p.last > now.last {
		return false
	}
	for i, end := range p.ends {
		if end > max(now.ends[i], now.last) {
			return false
		}
	}
	return true
}
