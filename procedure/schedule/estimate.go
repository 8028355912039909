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

// together returns the standard deviation of a sum of independent times: the
// root of the sum of the squares.
func together(deviations []float64) float64 {
	sum := 0.0
	for _, d := range deviations {
		sum += d * d
	}
	return math.Sqrt(sum)
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
