package calibrate

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"matchmark/procedure/quiz/itemanalysis"
)

// Count is how many of a class have a question right.
type Count struct{ Right, Of int }

// Pooled is what several classes together say of a question.
type Pooled struct {
	// Right of Of learners have it right, in all classes.
	Right, Of int
	// Difficulty is the share of such classes' learners who have it right, from 0 to 1; Low and High are its limits with
	// 95 % confidence, which are wider where classes differ by more than chance.
	Difficulty, Low, High float64
	// Between is how far classes differ, as a standard deviation of their shares; 0 where chance alone can have done it.
	Between float64
	// Classes are the shares of each class, drawn to the common one as far as the class is small and classes are alike.
	Classes []float64
}

// Pool works out what classes say together: the share of each class is taken as drawn from a beta distribution, which is
// fitted to all classes (empirical Bayes). Classes without learners say nothing; there must be one with some.
//
// Source: J. C. Kleinman, Proportions with extraneous variance: single and independent samples, J. of the American
// Statistical Association 68 (1973), pp. 46-54, weights by size (from memory).
func Pool(classes []Count) Pooled {
	var out Pooled
	groups, squares := 0.0, 0.0
	for _, c := range classes {
		out.Right, out.Of = out.Right+c.Right, out.Of+c.Of
		squares += float64(c.Of * c.Of)
		if c.Of > 0 {
			groups++
		}
	}
	n := float64(out.Of)
	p := float64(out.Right) / n
	within := correlation(classes, p, n, groups, squares)
	out.Difficulty, out.Between = p, math.Sqrt(p*(1-p)*within)
	// Learners of one class say less than as many of several: the classes count as so many learners.
	effective := n / (1 + within*(squares/n-1))
	deviate := distuv.UnitNormal.Quantile(0.975)
	if within > 0 {
		deviate = distuv.StudentsT{Sigma: 1, Nu: groups - 1}.Quantile(0.975) // so few classes tell little of how far they differ
	}
	out.Low, out.High = itemanalysis.WilsonShare(p, effective, deviate)
	for _, c := range classes {
		share := p
		if within > 0 {
			prior := (1 - within) / within // the sum of the beta distribution's parameters
			share = (float64(c.Right) + p*prior) / (float64(c.Of) + prior)
		}
		out.Classes = append(out.Classes, share)
	}
	return out
}

// correlation is that of the answers of two learners of one class, from 0 to below 1: by how much more than chance the classes differ.
func correlation(classes []Count, p, n, groups, squares float64) float64 {
	var spread float64
	for _, c := range classes {
		if c.Of > 0 {
			off := float64(c.Right)/float64(c.Of) - p
			spread += float64(c.Of) * off * off
		}
	}
	room := p * (1 - p) * (n - squares/n - (groups - 1))
	if !(room > 0) {
		return 0
	}
	return max(0, min((spread-p*(1-p)*(groups-1))/room, 1-1e-9))
}
