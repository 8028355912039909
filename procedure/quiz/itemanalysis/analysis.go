package itemanalysis

import "math"

// Analysis is what a class's answers tell about a quiz.
type Analysis struct {
	// Learners is how many learners there are.
	Learners int
	Items    []Item
	// Most is the number of points that can be reached; Scores counts the learners
	// by their points, from 0 to Most.
	Most   int
	Scores []int
	// Mean and SD are those of the points. SD divides by n-1: the class stands for others like it.
	Mean, SD float64
	// KR20 and KR21 are worked out on right and wrong, Alpha on the points.
	KR20, KR21, Alpha float64
	// KR20Low and KR20High, and AlphaLow and AlphaHigh, are their limits with 95 % confidence; see Feldt.
	KR20Low, KR20High, AlphaLow, AlphaHigh float64
	// SEM is the standard error of measurement in points, from SD and Alpha.
	SEM float64
}

// Analyse works out everything about a class. A class without learners or without questions has only NaN.
func Analyse(c Class) Analysis {
	a := Analysis{Learners: len(c.Answers)}
	for _, x := range []*float64{&a.Mean, &a.SD, &a.KR20, &a.KR21, &a.Alpha, &a.KR20Low, &a.KR20High, &a.AlphaLow, &a.AlphaHigh, &a.SEM} {
		*x = math.NaN()
	}
	for _, q := range c.Questions {
		a.Most += q.Points
	}
	a.Scores = make([]int, a.Most+1)
	if a.Learners == 0 || len(c.Questions) == 0 {
		return a
	}
	a.Items = c.items()
	totals, counts := c.totals(), c.counts()
	for _, t := range totals {
		a.Scores[int(t)]++
	}
	var shares []float64
	for _, it := range a.Items {
		shares = append(shares, it.Difficulty)
	}
	a.Mean, a.SD = mean(totals), math.Sqrt(variance(totals, 1))
	a.KR20 = KR20(shares, variance(counts, 0))
	a.KR21 = KR21(len(shares), mean(counts), variance(counts, 0))
	a.Alpha = c.alpha()
	a.KR20Low, a.KR20High = Feldt(a.KR20, len(shares), a.Learners, 0.95)
	a.AlphaLow, a.AlphaHigh = Feldt(a.Alpha, len(shares), a.Learners, 0.95)
	a.SEM = SEM(a.SD, a.Alpha)
	return a
}

// Small reports whether the class is so small that each learner moves the figures.
func (a Analysis) Small() bool { return a.Learners < SmallClass }

// Near counts the scores, in points, that lie within one standard error of
// measurement of the pass mark: who passed and who did not is for them partly luck.
// The error is that of one try of such a quiz; the scores may be those of any try.
func (a Analysis) Near(scores []int, pass int) int {
	if !Known(a.SEM) {
		return 0
	}
	near := 0
	for _, points := range scores {
		if math.Abs(float64(points-pass)) <= a.SEM {
			near++
		}
	}
	return near
}
