package itemanalysis

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Level is the chance that a test gives a verdict where nothing but chance is at work.
const Level = 0.05

// mostSteps is how many steps a test takes at most to count all ways, some milliseconds; where it would take more, so many
// learners are drawn that their sum is as good as normal.
const mostSteps = 4_000_000

// association says how likely chance alone gives learners who did a thing values as low, and as high, as those
// that they have: of all ways to draw so many of the learners, the shares in which the sum of their values is
// at most, and at least, that of those who did it. NaN where all did it or none, or all values are the same.
//
// Source: the permutation test, E. J. G. Pitman, Significance tests which may be applied to samples from any
// populations, Supplement to the J. Royal Statistical Society 4 (1937), pp. 119-130 (from memory). With values
// 0 and 1 it is Fisher's exact test, with ranks Wilcoxon's.
func association(values []float64, did func(learner int) bool) (low, high float64) {
	least := slices.Min(values)
	shifted, drawn, sum, most := make([]int, len(values)), 0, 0, 0
	for i, v := range values {
		shifted[i] = int(math.Round(v - least))
		most = max(most, shifted[i])
		if did(i) {
			drawn++
			sum += shifted[i]
		}
	}
	switch {
	case drawn == 0 || drawn == len(values) || most == 0:
		return math.NaN(), math.NaN()
	case 2*drawn > len(values): // those who did not are fewer: their sum is low where the other is high
		high, low = association(values, func(i int) bool { return !did(i) })
		return low, high
	case len(values)*drawn*drawn*most > mostSteps:
		return nearly(shifted, drawn, sum)
	}
	return exactly(shifted, drawn, sum, most)
}

// exactly counts all ways to draw so many of some values, the greatest of which is most, and says in which share of them
// the sum is at most, and at least, a given one.
func exactly(values []int, drawn, sum, most int) (low, high float64) {
	for s, p := range sums(values, drawn, most) {
		if s <= sum {
			low += p
		}
		if s >= sum {
			high += p
		}
	}
	return min(low, 1), min(high, 1)
}

// sums returns the chance of each sum of so many values drawn without putting back. Whole numbers from 0 on.
func sums(values []int, drawn, most int) []float64 {
	width := most*drawn + 1
	chance := make([]float64, (drawn+1)*width) // by how many are drawn, and their sum
	chance[0] = 1
	for i, v := range values {
		for k := min(i, drawn); k >= 0; k-- {
			take := float64(drawn-k) / float64(len(values)-i)
			for s := min(width-1, k*most); s >= 0; s-- {
				at := k*width + s
				if p := chance[at]; p > 0 {
					chance[at] = p * (1 - take)
					if take > 0 {
						chance[at+width+v] += p * take
					}
				}
			}
		}
	}
	return chance[drawn*width:]
}

// nearly is association by the normal distribution with the mean and variance of the exact one, and half a unit for continuity.
//
// Source: W. G. Cochran, Sampling Techniques, 3rd ed. 1977, theorem 2.2 (sampling without replacement; from memory).
func nearly(values []int, drawn, sum int) (low, high float64) {
	x := make([]float64, len(values))
	for i, v := range values {
		x[i] = float64(v)
	}
	n, r := float64(len(x)), float64(drawn)
	sd := math.Sqrt(variance(x, 1) * r * (1 - r/n))
	z := (float64(sum) - r*mean(x)) / sd
	return distuv.UnitNormal.CDF(z + 0.5/sd), distuv.UnitNormal.Survival(z - 0.5/sd)
}

// atMost returns how great the correlation of two variables can be when that of n learners is r, with a confidence
// of 95 % for all of so many questions together.
//
// Source: R. A. Fisher's z with standard error 1/sqrt(n-3), Metron 1 (1921); the level shared out by Bonferroni (both from memory).
func atMost(r float64, n, questions int) float64 {
	if !Known(r) || n < 4 {
		return 1
	}
	z := distuv.UnitNormal.Quantile(1 - Level/float64(questions))
	return math.Tanh(math.Atanh(max(min(r, 1-1e-12), -1+1e-12)) + z/math.Sqrt(float64(n-3)))
}
