package schedule

import "matchmark/procedure"

// Timetable is a job on the cumulative clock, one step after the other.
type Timetable struct {
	Rows []Row
	// Total is the clock when the last step ends.
	Total Reading
	// Deviation is the standard deviation of the expected total. It takes the
	// steps' times as independent of each other.
	Deviation float64
	// PersonMinutes is the working time of all people: expected time by people, summed.
	PersonMinutes float64
}

// Spread is the standard deviation of the expected total for somebody whose pace is the same
// throughout: any two of the times have that correlation.
func (t Timetable) Spread(correlation float64) float64 {
	deviations := make([]float64, len(t.Rows))
	for i, r := range t.Rows {
		deviations[i] = r.Deviation
	}
	return SumDeviation(deviations, correlation)
}

// Row is one step of a timetable.
type Row struct {
	Step *procedure.Step
	// Expected and Deviation are the step's own.
	Expected, Deviation float64
	// Start and End are the clock before and after the step.
	Start, End Reading
}

// Reading is what the cumulative clock shows: when every step so far went
// well, as expected, or badly. All steps going badly is rarer than the
// deviation of the total says; the pessimistic reading is a bound, not a forecast.
type Reading struct {
	Optimistic, Expected, Pessimistic float64
}

// after returns the reading once a step is done: at best it is left out when it can be, at worst it comes in all rounds.
func (r Reading) after(s *procedure.Step) Reading {
	least, most := s.Time.Optimistic, s.Time.Pessimistic
	if rounds := s.Round.Rounds; rounds.Pessimistic > 0 {
		least, most = least*rounds.Optimistic, most*rounds.Pessimistic
	}
	if s.Skips > 0 {
		least = 0
	}
	expected, _ := StepTime(s)
	return Reading{Optimistic: r.Optimistic + least, Expected: r.Expected + expected, Pessimistic: r.Pessimistic + most}
}

// waiting returns the reading when a wait is over that began at this one. At best it is left out when its step can be.
func (r Reading) waiting(s *procedure.Step, w *procedure.Wait) Reading {
	minutes := w.Time.Float("min")
	out := Reading{Optimistic: r.Optimistic + minutes, Expected: r.Expected + minutes*(1-s.Skips), Pessimistic: r.Pessimistic + minutes}
	if s.Skips > 0 || w.If != "" {
		out.Optimistic = r.Optimistic
	}
	return out
}

// later is the later of two readings, each part by itself.
func (r Reading) later(x Reading) Reading {
	return Reading{max(r.Optimistic, x.Optimistic), max(r.Expected, x.Expected), max(r.Pessimistic, x.Pessimistic)}
}

// Clock puts the steps of a job on the cumulative clock in their written order. A step that a wait holds up begins when that is over;
// before, the clock goes on with the steps in between.
// A step for which no number of people is given counts as one person's.
//
// Source: sums of expected times and of variances as in classical PERT
// (Malcolm, Roseboom, Clark and Fazar, 1959).
func Clock(job *procedure.Job) Timetable {
	t := Timetable{Rows: make([]Row, 0, len(job.Steps))}
	deviations := make([]float64, 0, len(job.Steps))
	var waits []waiting
	for _, s := range job.Steps {
		row := Row{Step: s, Start: t.Total}
		for _, w := range waits {
			if len(w.On) == 0 || w.Holds(s) {
				row.Start = row.Start.later(w.over)
			}
		}
		row.Expected, row.Deviation = StepTime(s)
		row.End = row.Start.after(s)
		if w := s.Wait(); w != nil {
			waits = append(waits, waiting{w, row.End.waiting(s, w)})
		}
		t.Rows = append(t.Rows, row)
		t.Total = row.End
		t.PersonMinutes += row.Expected * float64(max(s.People, 1))
		deviations = append(deviations, row.Deviation)
	}
	for _, w := range waits {
		t.Total = t.Total.later(w.over)
	}
	t.Deviation = SumDeviation(deviations, 0)
	return t
}

// waiting is a wait that runs, and when it is over.
type waiting struct {
	*procedure.Wait
	over Reading
}
