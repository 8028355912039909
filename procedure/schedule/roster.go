package schedule

import (
	"cmp"
	"fmt"
	"slices"
)

// Roster says who does what when: a schedule for a number of people that respects
// the order of work, the people, and the things of which there is only one. Times
// are expected times in minutes from the start.
type Roster struct {
	Network *Network
	// Crew is how many people there are.
	Crew int
	// Bars has one entry for each activity, by start and then in the network's order.
	Bars []Bar
	// Lanes has one entry for each person, in order.
	Lanes []Lane
	// Things has one entry for each thing of which there is only one, in the order of their first use.
	Things []ThingLane
	// Length is when the last activity ends.
	Length float64
	// Bound is a time that no schedule can beat; Gap is by which part of it Length is longer.
	Bound, Gap float64
	// Shortest is true when no schedule is shorter: Length equals Bound.
	Shortest bool
}

// Bar is one activity of a roster.
type Bar struct {
	Activity *Activity
	// Index is the activity's place in the network.
	Index      int
	Start, End float64
	// People are the numbers of those who do it, counted from 1, ascending.
	People []int
	// Wait says why it does not start earlier.
	Wait Wait
}

// WaitKind says what an activity waits for. Pages have words for each kind.
type WaitKind string

// The kinds of wait.
const (
	NoWait     WaitKind = ""       // it starts at once, or nothing holds it up
	OrderWait  WaitKind = "order"  // another activity must end first
	ThingWait  WaitKind = "thing"  // somebody else has the only one of a thing
	PeopleWait WaitKind = "people" // nobody is free
)

// Wait is what held an activity up.
type Wait struct {
	Kind WaitKind
	// For is the activity whose end was waited for; nil for no wait.
	For *Activity
	// Thing is what was waited for; empty for the other kinds.
	Thing Thing
}

// Lane is what one person does.
type Lane struct {
	// Person is counted from 1. The first is the leader: of those who are free, the lowest numbers go to work.
	Person int
	// Bars are the places of the person's activities in Roster.Bars, in order.
	Bars []int
	// Busy and Idle are the person's working and waiting minutes; they add up to the roster's length.
	Busy, Idle float64
}

// ThingLane is who uses a thing when.
type ThingLane struct {
	Thing Thing
	// Bars are the places of the activities in Roster.Bars, in order.
	Bars []int
}

// TooFewPeopleError says that some activities take more people than there are.
type TooFewPeopleError struct {
	Crew, Need int
	// Activities take more people than there are.
	Activities []*Activity
}

// Error names the first of the activities.
func (e *TooFewPeopleError) Error() string {
	return fmt.Sprintf("%q takes more than %d people; %d are needed in all", e.Activities[0].Name, e.Crew, e.Need)
}

// Fewest returns how many people the network takes at least: those of its largest activity.
func (n *Network) Fewest() int {
	out := 1
	for i := range n.Activities {
		out = max(out, n.Activities[i].crew())
	}
	return out
}

// Rosters returns a roster for each number of people from the fewest up to a
// limit. It returns none when the limit is too low.
func (n *Network) Rosters(limit int) []*Roster {
	var out []*Roster
	sharing := n.Sharing()
	for crew := n.Fewest(); crew <= limit; crew++ {
		if r, err := sharing.Roster(crew, exactPartial); err == nil {
			out = append(out, r)
		}
	}
	return out
}

// Roster schedules the network for a number of people: by priority rules with
// improvement, and in small parts by an exact search. See generate, exact and
// bound for the methods. The same network gives the same roster. The error is a
// *TooFewPeopleError.
func (n *Network) Roster(crew int) (*Roster, error) { return n.RosterWithin(crew, exactPartial) }

// RosterWithin is Roster, but it looks at fewer schedules: the exact search gives
// up after so many partial ones, and fewer priority lists are shaken in the same
// measure. Where it gives up, the roster says by how much it may be too long.
func (n *Network) RosterWithin(crew, effort int) (*Roster, error) {
	return n.Sharing().Roster(crew, effort)
}

// fill turns starts and ends into bars and lanes.
func (r *Roster) fill(starts, ends []ticks) {
	n := r.Network
	sequence := slices.Clone(n.sorted)
	slices.SortFunc(sequence, func(a, b int) int { return cmp.Or(cmp.Compare(starts[a], starts[b]), cmp.Compare(a, b)) })
	all := 0
	for i := range n.Activities {
		all += n.Activities[i].crew()
	}
	people := make([]int, 0, all) // of all bars, one after the other
	free, counts := make([]ticks, r.Crew), make([]int, r.Crew)
	r.Bars = make([]Bar, 0, len(sequence))
	for k, i := range sequence {
		a := &n.Activities[i]
		first := len(people)
		for p := 0; len(people)-first < a.crew(); p++ {
			if free[p] <= starts[i] {
				free[p] = ends[i]
				people = append(people, p+1)
				counts[p]++
			}
		}
		r.Bars = append(r.Bars, Bar{
			Activity: a, Index: i, Start: starts[i].minutes(), End: ends[i].minutes(),
			People: slices.Clip(people[first:]), Wait: n.wait(i, starts, ends),
		})
		for _, t := range a.Uses {
			lane := slices.IndexFunc(r.Things, func(l ThingLane) bool { return l.Thing.ID == t.ID })
			if lane < 0 {
				lane = len(r.Things)
				r.Things = append(r.Things, ThingLane{Thing: t})
			}
			r.Things[lane].Bars = append(r.Things[lane].Bars, k)
		}
	}
	r.fillLanes(counts, starts, ends)
}

// fillLanes hands each person their bars; counts says how many they have.
func (r *Roster) fillLanes(counts []int, starts, ends []ticks) {
	all := 0
	for _, c := range counts {
		all += c
	}
	room := make([]int, all)
	r.Lanes = make([]Lane, r.Crew)
	for p, c := range counts {
		r.Lanes[p] = Lane{Person: p + 1, Bars: room[:0:c]}
		room = room[c:]
	}
	for k, b := range r.Bars {
		for _, p := range b.People {
			l := &r.Lanes[p-1]
			l.Bars = append(l.Bars, k)
			l.Busy += (ends[b.Index] - starts[b.Index]).minutes()
		}
	}
	for p := range r.Lanes {
		r.Lanes[p].Idle = nought(r.Length - r.Lanes[p].Busy)
	}
}

// wait finds out what an activity waits for: an activity that ends as it starts,
// and that must come before it, or has a thing that it uses, or has the people.
func (n *Network) wait(i int, starts, ends []ticks) Wait {
	if starts[i] == 0 {
		return Wait{}
	}
	for _, j := range n.prev[i] {
		if ends[j] == starts[i] {
			return Wait{Kind: OrderWait, For: &n.Activities[j]}
		}
	}
	people := Wait{}
	for j := range n.Activities {
		if ends[j] != starts[i] {
			continue
		}
		for _, t := range n.Activities[i].Uses {
			if slices.Contains(n.Activities[j].Uses, t) {
				return Wait{Kind: ThingWait, For: &n.Activities[j], Thing: t}
			}
		}
		if people.For == nil {
			people = Wait{Kind: PeopleWait, For: &n.Activities[j]}
		}
	}
	return people
}

// Rostered returns the network with the roster's own order added: who does one
// activity after another, or hands a thing on, waits for the one before. Its
// forecast is the forecast of the work with these people.
func (r *Roster) Rostered() *Network {
	next := make([][]int, len(r.Network.next))
	most := 0 // edges
	for _, b := range r.Bars {
		most += len(r.Network.next[b.Index]) + len(b.People) + len(b.Activity.Uses)
	}
	room := make([]int, 0, most)
	for _, b := range r.Bars {
		first, added := len(room), len(b.People)+len(b.Activity.Uses)
		room = append(room, r.Network.next[b.Index]...)
		next[b.Index] = room[first : len(room) : len(room)+added]
		room = room[:len(room)+added]
	}
	chain := func(bars []int) {
		for k := 1; k < len(bars); k++ {
			from, to := r.Bars[bars[k-1]].Index, r.Bars[bars[k]].Index
			next[from] = insert(next[from], to)
		}
	}
	for _, l := range r.Lanes {
		chain(l.Bars)
	}
	for _, t := range r.Things {
		chain(t.Bars)
	}
	sorted := make([]int, len(r.Bars)) // by start: every edge leads to an activity that starts later
	for k, b := range r.Bars {
		sorted[k] = b.Index
	}
	return link(r.Network.Activities, sorted, next)
}
