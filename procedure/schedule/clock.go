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

// after returns the reading once a step of that estimate is done.
func (r Reading) after(e procedure.Estimate) Reading {
	return Reading{
		Optimistic:  r.Optimistic + e.Optimistic,
		Expected:    r.Expected + Expected(e),
		Pessimistic: r.Pessimistic + e.Pessimistic,
	}
}

// Clock puts the steps of a job on the cumulative clock in their written order.
// A step for which no number of people is given counts as one person's.
//
// Source: sums of expected times and of variances as in classical PERT
// (Malcolm, Roseboom, Clark and Fazar, 1959).
func Clock(job *procedure.Job) Timetable {
	t := Timetable{Rows: make([]Row, 0, len(job.Steps))}
	deviations := make([]float64, 0, len(job.Steps))
	for _, s := range job.Steps {
		row := Row{Step: s, Expected: Expected(s.Time), Deviation: Deviation(s.Time), Start: t.Total, End: t.Total.after(s.Time)}
		t.Rows = append(t.Rows, row)
		t.Total = row.End
		t.PersonMinutes += row.Expected * float64(max(s.People, 1))
		deviations = append(deviations, row.Deviation)
	}
	t.Deviation = together(deviations)
	return t
}
