package learning

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Timed is how long a repetition, counted from 1, took.
type Timed struct {
	Repetition int
	Minutes    float64
}

// Fitted is a learning rate found in times.
type Fitted struct {
	// Rate is the part of the time that is left with every doubling of the repetitions; above 1 the work got slower.
	Rate float64
	// Low and High are its 95 % interval.
	Low, High float64
	// Times is how many times there are, Groups how many series of repetitions they make.
	Times, Groups int
	// Known is false when there are too few to say anything of the interval.
	Known bool
}

// Fit fits Crawford's curve, time = first · repetition^b with one b and a first time for each group,
// to groups of repetitions of the same work by the same people: least squares on logarithms. The rate is 2^b.
//
// Source: log-log regression of learning curves, as in Nahmias, Production and Operations
// Analysis, by a university lesson; Student's interval of a regression's slope.
func Fit(groups [][]Timed) Fitted {
	var out Fitted
	sxx, sxy, syy := 0.0, 0.0, 0.0
	for _, g := range groups {
		if len(g) < 2 {
			continue // its only time says where it starts, and no more
		}
		out.Groups++
		out.Times += len(g)
		meanX, meanY := 0.0, 0.0
		for _, t := range g {
			meanX += math.Log(float64(t.Repetition)) / float64(len(g))
			meanY += math.Log(t.Minutes) / float64(len(g))
		}
		for _, t := range g {
			x, y := math.Log(float64(t.Repetition))-meanX, math.Log(t.Minutes)-meanY
			sxx, sxy, syy = sxx+x*x, sxy+x*y, syy+y*y
		}
	}
	free := float64(out.Times - out.Groups - 1)
	if sxx < 1e-12 || free < 1 {
		return out
	}
	b := sxy / sxx
	half := distuv.StudentsT{Sigma: 1, Nu: free}.Quantile(0.975) * math.Sqrt(max(syy-b*sxy, 0)/free/sxx)
	out.Rate, out.Low, out.High, out.Known = math.Exp2(b), math.Exp2(b-half), math.Exp2(b+half), true
	return out
}
