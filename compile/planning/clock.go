package planning

import (
	"math"

	"matchmark/procedure/schedule"
)

// clock writes a time in minutes from the start of a job: "0:25", "2:05".
func clock(minutes float64) string {
	return schedule.ClockTime(int(math.Floor(minutes + 0.5 + 1e-9)))
}

// percent writes a chance in whole percent. What is not certain does not look so.
func (e *emitter) percent(p float64) string {
	switch {
	case p > 0 && p < 0.005:
		return e.words.T("plan.percent.under")
	case p < 1 && p >= 0.995:
		return e.words.T("plan.percent.over")
	}
	return e.words.T("plan.percent", e.words.Number(100*p, 0))
}

// gap writes by which part something is longer: in percent with one decimal.
func (e *emitter) gap(p float64) string {
	if p < 0.001 {
		return e.words.T("plan.percent.tenth")
	}
	return e.words.T("plan.percent", e.words.Number(100*p, 1))
}

// spread writes a standard deviation; below a minute it is one.
func spread(minutes float64) string {
	if minutes <= 0 {
		return ""
	}
	return schedule.Duration(math.Max(minutes, 1))
}
