package site

import (
	"math"

	"matchmark/procedure"
	"matchmark/procedure/schedule"
)

// clockTime writes a reading of the clock from the start of the job: "0:25", "2:05".
func clockTime(minutes float64) string {
	return schedule.ClockTime(int(math.Round(minutes)))
}

// estimate writes a three-point estimate: the likely time and the range around it.
func (e *emitter) estimate(t procedure.Estimate) string {
	likely := schedule.Duration(t.Likely)
	if t.Optimistic == t.Pessimistic {
		return likely
	}
	return e.words.T("time.range", likely, e.words.Number(t.Optimistic, 1), e.words.Number(t.Pessimistic, 1))
}
