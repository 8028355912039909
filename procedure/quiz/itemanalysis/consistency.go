package itemanalysis

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
)

// Feldt returns between which values the reliability of a quiz lies with the given confidence when alpha, or KR-20,
// of so many questions and learners is this: from below 0, where points say nothing, to 1 at most. NaN where alpha is not known.
//
// Source: L. S. Feldt, D. J. Woodruff and F. A. Salih, Statistical inference for coefficient alpha, Applied
// Psychological Measurement 11 (1987), p. 95, formulas 6 and 7.
func Feldt(alpha float64, questions, learners int, confidence float64) (low, high float64) {
	if !Known(alpha) || questions < 2 || learners < 2 {
		return math.NaN(), math.NaN()
	}
	n, k := float64(learners), float64(questions)
	f := distuv.F{D1: n - 1, D2: (n - 1) * (k - 1)}
	tail := (1 - confidence) / 2
	return 1 - (1-alpha)*f.Quantile(1-tail), 1 - (1-alpha)*f.Quantile(tail)
}

// Decision says how well a quiz tells who passes.
type Decision struct {
	// Agreement is the share of learners who would get the same result, passed or not, in two such quizzes; Chance what
	// it would be if points said nothing; Kappa how far above chance it is, from 0 to 1. NaN where they are not known.
	Agreement, Chance, Kappa float64
	// Low and High are the Agreement for the limits of the reliability, with 95 % confidence.
	Low, High float64
}

// Consistency works out how well points tell who reaches a pass mark: two tries of such quizzes are taken as jointly
// normal, with the class's mean and standard deviation, and with the reliability as their correlation. A reliability
// below 0 counts as 0. The mark and the mean are in points.
//
// Source: C.-Y. J. Peng and M. J. Subkoviak, A note on Huynh's normal approximation procedure for estimating criterion-referenced
// reliability, J. of Educational Measurement 17 (1980), pp. 359-368 (from memory); tables by M. J. Subkoviak, J. of Educational Measurement 25 (1988), pp. 47-55.
func (a Analysis) Consistency(mark int) Decision {
	z := (float64(mark) - 0.5 - a.Mean) / a.SD
	d := Decision{Agreement: math.NaN(), Chance: math.NaN(), Kappa: math.NaN(), Low: math.NaN(), High: math.NaN()}
	if !Known(z) || !Known(a.Alpha) {
		return d
	}
	d.Agreement, d.Chance = agreement(z, a.Alpha), agreement(z, 0)
	d.Kappa = (d.Agreement - d.Chance) / (1 - d.Chance)
	d.Low, d.High = agreement(z, a.AlphaLow), agreement(z, a.AlphaHigh)
	return d
}

// agreement is the chance that two standard normal variables of this correlation lie on the same side of z.
//
// Source: the bivariate normal integral by its correlation: W. F. Sheppard, Phil. Trans. Royal Society A 192 (1899) (from memory).
func agreement(z, correlation float64) float64 {
	below := distuv.UnitNormal.CDF(z)
	both := below * below
	if correlation > 0 {
		both += quad.Fixed(func(angle float64) float64 {
			return math.Exp(-z * z / (1 + math.Sin(angle)))
		}, 0, math.Asin(min(correlation, 1)), 64, quad.Legendre{}, 0) / (2 * math.Pi)
	}
	return 1 - 2*(below-both)
}
