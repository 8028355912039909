package schedule

import "slices"

// Sharing makes the rosters of a network. What all numbers of people have in common is worked
// out once. It is not safe for use by several goroutines at the same time.
type Sharing struct {
	network *Network
	// segments are scheduled one after the other, each by its load; a load is made when it is first needed.
	segments [][]int
	loads    []*load
	room     room
}

// Sharing prepares rosters.
func (n *Network) Sharing() *Sharing { return &Sharing{network: n} }

// Roster is Network.RosterWithin.
func (s *Sharing) Roster(crew, effort int) (*Roster, error) {
	n := s.network
	if need := n.Fewest(); need > crew {
		e := &TooFewPeopleError{Crew: crew, Need: need}
		for i := range n.Activities {
			if a := &n.Activities[i]; a.crew() > crew {
				e.Activities = append(e.Activities, a)
			}
		}
		return nil, e
	}
	both := make([]ticks, 2*len(n.Activities))
	starts, ends := both[:len(n.Activities)], both[len(n.Activities):]
	length, bound := ticks(0), ticks(0)
	row := func(activities []int) {
		for _, i := range activities {
			starts[i] = length
			length += n.Activities[i].ticks()
			ends[i] = length
			bound += n.Activities[i].ticks()
		}
	}
	if crew == 1 && !n.waits() { // one person does one thing after the other, unless a wait leaves them free
		row(n.sorted)
	} else {
		s.split()
		for k, segment := range s.segments {
			if len(segment) == 1 {
				row(segment)
				continue
			}
			best, least := s.load(k, crew).short(effort)
			from, to := length, length
			for k, i := range segment {
				starts[i] = from + best[k]
				ends[i] = starts[i] + n.Activities[i].ticks()
				to = max(to, ends[i])
			}
			length, bound = to, bound+least
		}
	}
	r := &Roster{Network: n, Crew: crew, Length: length.minutes(), Bound: bound.minutes(), Shortest: length == bound}
	if bound > 0 {
		r.Gap = float64(length-bound) / float64(bound)
	}
	r.fill(starts, ends)
	return r, nil
}

// waits reports whether something goes on that takes nobody.
func (n *Network) waits() bool {
	return slices.ContainsFunc(n.Activities, func(a Activity) bool { return a.crew() == 0 })
}

func (s *Sharing) split() {
	if s.segments == nil {
		s.segments = s.network.segments()
		s.loads = make([]*load, len(s.segments))
	}
}

// load is the load of a segment for a number of people.
func (s *Sharing) load(segment, crew int) *load {
	l := s.loads[segment]
	if l == nil {
		l = s.network.load(s.segments[segment], crew, &s.room)
		s.loads[segment] = l
	}
	l.capacity[0] = crew
	return l
}

// short looks for the shortest schedule and returns what it found, with a bound of
// the shortest: its own length when none is shorter.
func (l *load) short(effort int) (starts []ticks, least ticks) {
	least = l.bound()
	starts = l.serial(l.sorted, make([]ticks, l.n))
	if l.span(starts) == least {
		return starts, least
	}
	least = l.apartBound(least)
	starts = l.generate(nil, least, 0, rules)
	shortest := l.span(starts) == least
	if !shortest {
		starts, shortest = l.exact(starts, least, effort/exactShare)
	}
	if !shortest && l.n <= learnLimit {
		starts, shortest = l.shorten(starts, least, effort/learnShare)
	}
	if !shortest {
		starts = l.generate(starts, least, rules, rules+l.mostShaken(effort))
		shortest = l.span(starts) == least
	}
	if shortest {
		least = l.span(starts)
	}
	return starts, least
}
