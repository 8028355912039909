package planning

import (
	"matchmark/procedure"
	"matchmark/procedure/schedule"
	"matchmark/procedure/state"
)

// A page's simulation draws so many times, and a roster's so many; long jobs get
// fewer runs, so that a job costs some milliseconds whatever its length. The
// standard error on the page says what that means.
const (
	draws       = 12_000
	rosterDraws = 9_000
	fewestRuns  = 200
	effort      = 1_000 // partial schedules that the search for a roster looks at
)

// work is what is worked out for the times page of a job.
type work struct {
	job      *procedure.Job
	network  *schedule.Network
	forecast *schedule.Forecast
	rosters  []crew
}

// crew is a roster with what it says of the end.
type crew struct {
	*schedule.Roster
	// Careful is the time that is kept nine times in ten, by simulation.
	Careful float64
	// Critical says of each activity whether a delay delays the end with these people.
	Critical []bool
}

// careful is the chance with which a crew's careful time is kept.
const careful = 0.9

func newWork(job *procedure.Job, most int) *work {
	_, trace := state.There(job)
	n := schedule.Of(trace)
	w := &work{job: job, network: n, forecast: n.Forecast(schedule.Seed, runs(n, draws))}
	for people := n.Fewest(); people <= max(most, n.Fewest()); people++ {
		r, err := n.RosterWithin(people, effort)
		if err != nil {
			break // too few people: Fewest says that there are enough
		}
		w.rosters = append(w.rosters, newCrew(r))
		if r.Length <= w.forecast.Times.Length+same {
			break // nobody else makes it shorter
		}
	}
	return w
}

func newCrew(r *schedule.Roster) crew {
	n := r.Rostered()
	c := crew{Roster: r, Careful: n.Simulate(schedule.Seed, runs(n, rosterDraws)).Time(careful)}
	for _, w := range n.Times().Windows {
		c.Critical = append(c.Critical, w.Slack < same)
	}
	return c
}

// same is how far two times may lie apart, in minutes, and still count as equal. A
// roster counts in thousandths of a second.
const same = 1e-3

func runs(n *schedule.Network, draws int) int {
	return min(max(draws/max(len(n.Activities), 1), fewestRuns), schedule.Runs)
}
