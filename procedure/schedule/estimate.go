// Package schedule works out times: of each step by the three-point estimate, of
// a whole job on a cumulative clock, and of its network of steps with slack, the
// critical path and the chance of ending in time. It says who does what when several
// people share the work. All times are in minutes.
package schedule

import (
	"math"
	"strconv"

	"matchmark/procedure"
)

// Expected returns the expected time of a three-point estimate,
// te = (a + 4m + b) / 6, in the estimate's own unit. It needs a ≤ m ≤ b.
//
// Source: classical PERT three-point estimate (Malcolm, Roseboom, Clark and Fazar, 1959).
func Expected(e procedure.Estimate) float64 {
	return (e.Optimistic + 4*e.Likely + e.Pessimistic) / 6
}

// Deviation returns the standard deviation of a three-point estimate,
// sd = (b - a) / 6, in the estimate's own unit.
//
// Source: classical PERT three-point estimate (Malcolm, Roseboom, Clark and Fazar, 1959).
func Deviation(e procedure.Estimate) float64 {
	return (e.Pessimistic - e.Optimistic) / 6
}

// StepTime is the expected time of a step and its standard deviation, in minutes: that of its estimate for each of its rounds, and
// nothing when it is left out.
func StepTime(s *procedure.Step) (expected, deviation float64) {
	return weighed(s.Time, s.Skips, s.Round.Rounds)
}

// weighed is the mean and the standard deviation of a time that comes once for each of some rounds, and not at all with the chance skips.
// Time, rounds and chance are taken as independent.
//
// Source: mean and variance of a product of independent variables, and of a mixture with nothing.
func weighed(e procedure.Estimate, skips float64, rounds procedure.Estimate) (mean, deviation float64) {
	mean, deviation = Expected(e), Deviation(e)
	if rounds.Pessimistic > 0 {
		r, d := Expected(rounds), Deviation(rounds)
		variance := mean*mean*d*d + r*r*deviation*deviation + d*d*deviation*deviation
		mean, deviation = mean*r, math.Sqrt(variance)
	}
	if skips > 0 {
		p := 1 - skips
		variance := p*(deviation*deviation+mean*mean) - p*p*mean*mean
		mean, deviation = p*mean, math.Sqrt(max(variance, 0))
	}
	return mean, deviation
}

// SumDeviation returns the standard deviation of a sum of times, any two of which have a
// correlation from 0 to 1: of the variance, (1 - r) times the sum of the variances and
// r times the square of the sum of the deviations.
//
// Source: variance of a sum of equally correlated variables; with 0, classical PERT.
func SumDeviation(deviations []float64, correlation float64) float64 {
	apart, together := 0.0, 0.0
	for _, d := range deviations {
		apart += d * d
		together += d
	}
	return math.Sqrt((1-correlation)*apart + correlation*together*together)
}

// Scaled returns an estimate with its three times multiplied by a factor.
func Scaled(e procedure.Estimate, factor float64) procedure.Estimate {
	e.Optimistic *= factor
	e.Likely *= factor
	e.Pessimistic *= factor
	return e
}

// Format writes an estimate in minutes as the value of a step's time attribute:
// "4/6.5/10", or one number when all three are the same.
func Format(e procedure.Estimate) string {
	number := func(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
	if e.Optimistic == e.Likely && e.Likely == e.Pessimistic {
		return number(e.Likely)
	}
	return number(e.Optimistic) + "/" + number(e.Likely) + "/" + number(e.Pessimistic)
}
