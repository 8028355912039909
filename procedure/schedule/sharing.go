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

// Roster shares the work out among so many people, who have the tickets that are assumed.
func (s *Sharing) Roster(crew, effort int) (*Roster, error) {
	return s.Among(s.network.Assumed(crew), effort)
}

// Among shares the work out among people with tickets.
func (s *Sharing) Among(people Tickets, effort int) (*Roster, error) {
	n, crew := s.network, len(people)
	e := &TooFewPeopleError{Crew: crew, Need: n.Fewest()}
	for i := range n.Activities {
		if a := &n.Activities[i]; people.choose(a.Who, a.crew(), func(int) bool { return true }) == nil {
			e.Activities = append(e.Activities, a)
		}
	}
	if len(e.Activities) > 0 {
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
		}
	}
	if crew == 1 && !n.waits() { // one person does one thing after the other, unless a wait leaves them free
		row(n.sorted)
		bound = length
	} else {
		s.split()
		for k, segment := range s.segments {
			if len(segment) == 1 {
				row(segment)
				bound += n.Activities[segment[0]].ticks()
				continue
			}
			best, least := s.load(k, people).short(effort)
			from, to := length, length
			for k, i := range segment {
				starts[i] = from + best[k]
				ends[i] = starts[i] + n.Activities[i].ticks()
				to = max(to, ends[i])
			}
			length, bound = to, bound+least
		}
	}
	r := &Roster{Network: n, Crew: crew, Tickets: people, Length: length.minutes(), Bound: bound.minutes(), Shortest: length == bound}
	if !r.fill(starts, ends) {
		// Whoever begins what only they can do is busy when something else begins: then one thing is done after the other.
		length = 0
		row(n.sorted)
		*r = Roster{Network: n, Crew: crew, Tickets: people, Length: length.minutes(), Bound: bound.minutes()}
		r.fill(starts, ends)
	}
	if r.Bound > 0 {
		r.Gap = (r.Length - r.Bound) / r.Bound
	}
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

// load is the load of a segment for some people. Where nobody needs a ticket, only their number counts.
func (s *Sharing) load(segment int, people Tickets) *load {
	l := s.loads[segment]
	if l == nil || len(s.network.Trades()) > 0 {
		l = s.network.load(s.segments[segment], people, &s.room)
		s.loads[segment] = l
	}
	l.capacity[0] = len(people)
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
