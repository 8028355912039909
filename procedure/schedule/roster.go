package schedule

import (
	"cmp"
	"fmt"
	"slices"
)

// Roster says who does what when: a schedule for a number of people that respects
// the order of work, the people, and how many there are of each thing. Times
// are expected times in minutes from the start.
type Roster struct {
	Network *Network
	// Crew is how many people there are.
	Crew int
	// Tickets are what each of them has.
	Tickets Tickets
	// Bars has one entry for each activity, by start and then in the network's order.
	Bars []Bar
	// Lanes has one entry for each person, in order.
	Lanes []Lane
	// Things has one entry for each piece of each thing that is used, in the order of their first use.
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

// pieces is how many pieces of things it takes in all.
func (b *Bar) pieces() int {
	sum := 0
	for _, u := range b.Activity.Uses {
		sum += u.pieces()
	}
	return sum
}

// WaitKind says what an activity waits for. Pages have words for each kind.
type WaitKind string

// The kinds of wait.
const (
	NoWait     WaitKind = ""       // it starts at once, or nothing holds it up
	OrderWait  WaitKind = "order"  // another activity must end first
	ThingWait  WaitKind = "thing"  // others have all there is of a thing
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

// ThingLane is who uses a piece of a thing when.
type ThingLane struct {
	Thing Thing
	// Piece is counted from 1. Of those that are free, the lowest numbers are taken.
	Piece int
	// Waited is true when an activity waits for the thing.
	Waited bool
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

// Most returns how many people are enough for all activities at once: more never help.
func (n *Network) Most() int {
	out := 0
	for i := range n.Activities {
		out += n.Activities[i].crew()
	}
	return max(out, 1)
}

// fill turns starts and ends into bars and lanes. It reports whether everything has its people.
func (r *Roster) fill(starts, ends []ticks) bool {
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
		chosen := r.Tickets.choose(a.Who, a.crew(), func(p int) bool { return free[p] <= starts[i] })
		if len(chosen) < a.crew() {
			return false
		}
		for _, p := range chosen {
			free[p] = ends[i]
			people = append(people, p+1)
			counts[p]++
		}
		r.Bars = append(r.Bars, Bar{
			Activity: a, Index: i, Start: starts[i].minutes(), End: ends[i].minutes(),
			People: slices.Clip(people[first:]), Wait: n.wait(i, starts, ends),
		})
		for _, u := range a.Uses {
			r.take(u, k, ends)
		}
	}
	for k := range r.Things {
		r.Things[k].Waited = slices.ContainsFunc(r.Bars, func(b Bar) bool {
			return b.Wait.Kind == ThingWait && b.Wait.Thing.ID == r.Things[k].Thing.ID
		})
	}
	r.fillLanes(counts, starts, ends)
	return true
}

// take hands the pieces that a bar uses to it.
func (r *Roster) take(u Use, bar int, ends []ticks) {
	start, piece := toTicks(r.Bars[bar].Start), 0
	for taken := 0; taken < u.pieces(); {
		piece++
		lane := slices.IndexFunc(r.Things, func(l ThingLane) bool { return l.Thing.ID == u.ID && l.Piece == piece })
		if lane < 0 {
			lane = len(r.Things)
			r.Things = append(r.Things, ThingLane{Thing: u.Thing, Piece: piece})
		}
		bars := r.Things[lane].Bars
		if n := len(bars); n > 0 && ends[r.Bars[bars[n-1]].Index] > start {
			continue
		}
		r.Things[lane].Bars = append(bars, bar)
		taken++
	}
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
		for _, u := range n.Activities[i].Uses {
			if n.uses(j, u.ID) > 0 && n.usedUpTo(u.ID, starts[i], starts, ends)+u.pieces() > u.count() {
				return Wait{Kind: ThingWait, For: &n.Activities[j], Thing: u.Thing}
			}
		}
		if people.For == nil {
			people = Wait{Kind: PeopleWait, For: &n.Activities[j]}
		}
	}
	return people
}

// uses is how many pieces of a thing an activity takes.
func (n *Network) uses(i int, thing string) int {
	for _, u := range n.Activities[i].Uses {
		if u.ID == thing {
			return u.pieces()
		}
	}
	return 0
}

// usedUpTo is how many pieces of a thing are taken right before a time.
func (n *Network) usedUpTo(thing string, at ticks, starts, ends []ticks) int {
	sum := 0
	for i := range n.Activities {
		if starts[i] < at && at <= ends[i] {
			sum += n.uses(i, thing)
		}
	}
	return sum
}

// Rostered returns the network with the roster's own order added: who does one
// activity after another, or hands a thing on, waits for the one before. Its
// forecast is the forecast of the work with these people.
func (r *Roster) Rostered() *Network {
	next := make([][]int, len(r.Network.next))
	most := 0 // edges
	for _, b := range r.Bars {
		most += len(r.Network.next[b.Index]) + len(b.People) + b.pieces()
	}
	room := make([]int, 0, most)
	for _, b := range r.Bars {
		first, added := len(room), len(b.People)+b.pieces()
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
