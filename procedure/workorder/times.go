package workorder

import (
	"time"

	"matchmark/procedure"
	"matchmark/procedure/record"
	"matchmark/procedure/schedule"
)

// StepTime is how long a step took, against its estimate.
type StepTime struct {
	Way record.Phase
	// Name is the step's title, or its id when the step has gone and Step is nil.
	Name string
	Step *procedure.Step
	record.StepTime
	// Minutes is the time worked, and Off how much more that is than expected; both in minutes.
	Minutes, Off float64
	// Fast and Slow say that it lies outside the estimate.
	Fast, Slow bool
	// Interrupted is true when the work was taken up again after a pause: the time may hold looking for the place again.
	Interrupted bool
}

// shortestPause is what counts as an interruption. A look at another step and back does not.
const shortestPause = time.Minute

// Total is the time of one way.
type Total struct {
	Way record.Phase
	// Minutes is the time worked on all steps, and Expected that of the same steps by their estimates.
	Minutes, Expected float64
	// Steps is how many were worked on, and Of how many the way has.
	Steps, Of int
}

func (o *Order) times() {
	all := o.Record.Times()
	totals := map[record.Phase]*Total{}
	for _, way := range record.Phases {
		totals[way] = &Total{Way: way}
		if job := o.Out; way == record.Removal {
			totals[way].Of = len(job.Steps)
		} else if o.Back != nil {
			totals[way].Of = len(o.Back.Steps)
		}
	}
	for _, key := range ordered(all, func(way record.Phase, name string) int { return numberOf(o.Step(way, name)) }) {
		way, id, _ := record.SplitKey(key)
		if id == record.ClosingPage {
			continue
		}
		t := StepTime{Way: way, Name: id, Step: o.Step(way, id), StepTime: all[key]}
		t.Minutes = t.Worked.Minutes()
		t.Interrupted = t.Paused() >= shortestPause
		total := totals[way]
		total.Minutes += t.Minutes
		if s := t.Step; s != nil {
			expected := schedule.Expected(s.Time) // of one round: how many there were shows in the time
			t.Name, t.Off = s.Title, t.Minutes-expected
			t.Fast, t.Slow = t.Minutes < s.Time.Optimistic, t.Minutes > s.Time.Pessimistic
			total.Expected += expected
			total.Steps++
		}
		o.Times = append(o.Times, t)
	}
	for _, way := range record.Phases {
		if totals[way].Minutes > 0 {
			o.Totals = append(o.Totals, *totals[way])
		}
	}
}
