package planning

import (
	"matchmark/procedure/analysis"
	"matchmark/procedure/schedule"
)

// effort is how many partial schedules the search for a roster looks at in each
// stretch between hold points: a job costs a millisecond or two, whatever its
// length. Where the search gives up, the page says by how much it may be too long.
const effort = 4000

// work is what is worked out for the times page of a job.
type work struct {
	network  *schedule.Network
	forecast *schedule.Forecast
	rosters  []crew
	// least is what no number of people can beat, with the tools and supports that there are.
	least float64
}

// crew is a roster with what it says of the end.
type crew struct {
	*schedule.Roster
	// Careful is the time that is kept nine times in ten, by simulation.
	Careful float64
	// Slacks says of each activity by how much it can be late before the end is late, with these people.
	Slacks []float64
}

// critical reports whether a delay of an activity delays the end.
func (c *crew) critical(activity int) bool { return c.Slacks[activity] < same }

// careful is the chance with which a crew's careful time is kept.
const careful = 0.9

func newWork(job *analysis.Job, most int) *work {
	n := job.Network()
	w := &work{network: n}
	times := n.Times()
	networks := []*schedule.Network{n}
	sharing := n.Sharing()
	w.least = times.Length
	if r, err := sharing.Roster(n.Most(), effort); err == nil {
		w.least = max(times.Length, r.Bound)
	}
	for people := n.Fewest(); people <= max(most, n.Fewest()+len(n.Trades())); people++ {
		r, err := sharing.Roster(people, effort)
		if err != nil {
			continue // somebody would have to have two trades at once
		}
		networks = append(networks, r.Rostered())
		w.rosters = append(w.rosters, crew{Roster: r})
		if r.Length <= w.least+same {
			break // nobody else makes it shorter
		}
	}
	simulations := schedule.Simulate(networks...)
	w.forecast = n.Forecast(times, simulations[0])
	for k := range w.rosters {
		w.rosters[k].Careful = simulations[k+1].Time(careful)
		w.rosters[k].Slacks = networks[k+1].Slacks()
	}
	return w
}

// same is how far two times may lie apart, in minutes, and still count as equal. A
// roster counts in thousandths of a second.
const same = 1e-3
