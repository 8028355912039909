package itemanalysis

import "math"

// KR20 returns the reliability of a quiz from the share of right answers to each
// question and the variance of the number of right answers (divided by n):
//
//	KR-20 = K/(K-1) · (1 - Σ p(1-p) / s²)
//
// It is 1 at best and can be negative; NaN for fewer than two questions or a class
// in which all scored alike.
//
// Source: G. F. Kuder and M. W. Richardson, The theory of the estimation of test reliability, Psychometrika 2 (1937), pp. 151-160, formula 20 (from memory).
func KR20(shares []float64, variance float64) float64 {
	spread := 0.0
	for _, p := range shares {
		spread += p * (1 - p)
	}
	return reliability(len(shares), spread, variance)
}

// KR21 is KR-20 as if all questions were equally hard, from the mean and the
// variance of the number of right answers to K questions:
//
//	KR-21 = K/(K-1) · (1 - M(K-M) / (K s²))
//
// It is never above KR-20.
//
// Source: Kuder and Richardson as above, formula 21 (from memory).
func KR21(questions int, mean, variance float64) float64 {
	k := float64(questions)
	return reliability(questions, mean*(k-mean)/k, variance)
}

// SEM returns the standard error of measurement: how far a learner's points lie
// from what many such quizzes would give on average, in the unit of sd:
//
//	SEM = s · √(1 - reliability)
//
// Source: F. M. Lord and M. R. Novick, Statistical Theories of Mental Test Scores, 1968, section 3.3 (from memory).
func SEM(sd, reliability float64) float64 { return sd * math.Sqrt(1-reliability) }

// alpha is Cronbach's coefficient of the points:
//
//	α = K/(K-1) · (1 - Σ sᵢ² / s²)
//
// With one point a question it is KR-20.
//
// Source: L. J. Cronbach, Coefficient alpha and the internal structure of tests, Psychometrika 16 (1951), pp. 297-334, formula 2 (from memory).
func (c Class) alpha() float64 {
	spread := 0.0
	for k := range c.Questions {
		spread += variance(c.column(k), 0)
	}
	return reliability(len(c.Questions), spread, variance(c.totals(), 0))
}

func reliability(questions int, spread, variance float64) float64 {
	if questions < 2 || !(variance > 0) {
		return math.NaN()
	}
	k := float64(questions)
	return k / (k - 1) * (1 - spread/variance)
}
