// Package cutscore works out a pass mark from what judges expect: Angoff's method.
// Each judge says of each question how likely somebody who can just do the job has
// it right; what such a learner would reach on average is the cut score.
//
// Source: W. H. Angoff in R. L. Thorndike (ed.), Educational Measurement, 2nd ed. 1971,
// pp. 514-515 (from memory); sums by judge, their mean and its interval as in BMC Medical Education 16 (2016), 134.
package cutscore

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"matchmark/procedure"
	"matchmark/procedure/quiz"
)

// Judge is what one judge expects.
type Judge struct {
	Name string
	// Shares are the chances, from 0 to 1, that a learner who can just do the job has each question right, in the quiz's order.
	Shares []float64
	// Sum is what such a learner reaches, in points.
	Sum float64
}

// Question is what the judges expect of one question, as shares from 0 to 1.
type Question struct {
	Mean, Least, Most float64
	// SD is the spread among the judges, divided by n-1; NaN for one judge.
	SD float64
}

// Standard is the pass mark that the judges propose.
type Standard struct {
	Judges    []Judge
	Questions []Question
	// Of is how many points can be reached. Cut is the mean of the judges' sums, in points.
	Of  int
	Cut float64
	// SD is the spread of the judges' sums and SE the standard error of their mean, in points; Low and High are
	// the limits of the mean for other judges like these, with 95 % confidence. NaN for one judge.
	SD, SE, Low, High float64
	// Points is the least whole number of points at or above the cut: rounding down would pass who is below it.
	Points int
	// Pass is the pass mark in percent that asks for so many points.
	Pass int
}

// Wide is from which difference between two judges on a question, as a share, they should talk about it. Common practice, no source.
const Wide = 0.3

// Compute works out a standard. There must be a judge, each with a share for every question.
func Compute(q *procedure.Quiz, judges []Judge) Standard {
	s := Standard{Judges: slices.Clone(judges), SD: math.NaN(), SE: math.NaN(), Low: math.NaN(), High: math.NaN()}
	var sums []float64
	for i := range s.Judges {
		for k, question := range q.Questions {
			s.Judges[i].Sum += s.Judges[i].Shares[k] * float64(question.Points)
		}
		sums = append(sums, s.Judges[i].Sum)
	}
	for k, question := range q.Questions {
		s.Of += question.Points
		var shares []float64
		for _, j := range judges {
			shares = append(shares, j.Shares[k])
		}
		x := Question{Mean: stat.Mean(shares, nil), Least: slices.Min(shares), Most: slices.Max(shares), SD: math.NaN()}
		if len(shares) > 1 {
			x.SD = stat.StdDev(shares, nil)
		}
		s.Questions = append(s.Questions, x)
	}
	s.Cut = stat.Mean(sums, nil)
	if n := float64(len(sums)); n > 1 {
		s.SD = stat.StdDev(sums, nil)
		s.SE = s.SD / math.Sqrt(n)
		t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: n - 1}.Quantile(0.975)
		s.Low, s.High = s.Cut-t*s.SE, s.Cut+t*s.SE
	}
	s.Points = int(math.Ceil(s.Cut - 1e-9)) // sums of decimals are not exact to the last bit
	s.Pass = percentFor(q, s.Points, s.Of)
	return s
}

// percentFor returns the least whole percent that asks for so many points, or for the next more that a percent can ask for.
func percentFor(q *procedure.Quiz, points, of int) int {
	with := *q
	for with.Pass = points * 100 / max(of, 1); with.Pass < 100 && quiz.PointsToPass(&with) < points; with.Pass++ {
	}
	return with.Pass
}
