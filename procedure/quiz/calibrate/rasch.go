// Package calibrate works out how hard questions are from the answers of several
// classes: what the classes say together, and, from enough learners on, difficulties
// on a scale of their own that does not depend on who was asked.
package calibrate

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"

	"matchmark/procedure/quiz/itemanalysis"
)

// LeastLearners is from how many learners on a scale is worked out. With 50 a difficulty is off by 0.4 on it, with 20
// by 0.7, with 10 by 1.0, where most questions lie between -2 and 2 (root mean square error in simulated classes).
const LeastLearners = 50

// Scale is the difficulties of questions in logits: their mean is 0, the higher the harder. The chance that a
// learner has a question right is 1/(1+exp(difficulty-ability)).
type Scale struct {
	// Difficulty and SE are by question; NaN for a question that all or none have right, which has no place on the scale.
	Difficulty, SE []float64
	// Learners is how many say something: those who have neither all nor none right.
	Learners int
	// LogLikelihood is that of the answers, given each learner's number of right answers.
	LogLikelihood float64
}

// ErrApart is the error of answers that no scale fits: some questions are right only where harder ones never are wrong.
var ErrApart = errors.New("the questions fall apart: some are right only with learners who have all others right")

// Rasch works out a scale by conditional maximum likelihood. Questions that all or none have right, and learners
// who have all or none of the others right, are left out first, until none are left to leave out. The error is
// ErrApart, or that nothing is left.
//
// Source: E. B. Andersen, Conditional inference for multiple-choice questionnaires, British J. of Mathematical and
// Statistical Psychology 26 (1973), pp. 31-44; G. H. Fischer in G. H. Fischer and I. W. Molenaar, Rasch Models, 1995, chapter 3 (both from memory).
func Rasch(c itemanalysis.Class) (Scale, error) {
	items, learners := informative(c)
	out := Scale{Difficulty: make([]float64, len(c.Questions)), SE: make([]float64, len(c.Questions)), Learners: len(learners)}
	for i := range c.Questions {
		out.Difficulty[i], out.SE[i] = math.NaN(), math.NaN()
	}
	if len(items) < 2 || len(learners) == 0 {
		return out, ErrApart
	}
	right, byScore := make([]float64, len(items)), make([]float64, len(items)+1)
	for _, l := range learners {
		score := 0
		for k, i := range items {
			if c.Answers[l][i].Right {
				right[k]++
				score++
			}
		}
		byScore[score]++
	}
	easiness, se, likelihood, err := conditional(right, byScore)
	if err != nil {
		return out, err
	}
	for k, i := range items {
		out.Difficulty[i], out.SE[i] = -easiness[k], se[k]
	}
	out.LogLikelihood = likelihood
	return out, nil
}

// informative lists the questions that some but not all have right and the learners who have some but not all of these right.
func informative(c itemanalysis.Class) (items, learners []int) {
	for i := range c.Questions {
		items = append(items, i)
	}
	for l := range c.Answers {
		learners = append(learners, l)
	}
	for {
		before := len(items) + len(learners)
		items = some(items, learners, func(i, l int) bool { return c.Answers[l][i].Right })
		learners = some(learners, items, func(l, i int) bool { return c.Answers[l][i].Right })
		if len(items)+len(learners) == before {
			return items, learners
		}
	}
}

// some keeps of list what is true with some of the others and not true with some.
func some(list, others []int, is func(x, other int) bool) []int {
	var out []int
	for _, x := range list {
		n := 0
		for _, o := range others {
			if is(x, o) {
				n++
			}
		}
		if n > 0 && n < len(others) {
			out = append(out, x)
		}
	}
	return out
}

const (
	mostRounds = 100
	// farthest is how far from the mean a question can lie before the estimate is taken to run away.
	farthest = 15
)

// conditional finds the easiness of questions, with sum 0, from how many have each right and how many learners have each
// number of them right, by Newton's steps.
func conditional(right, byScore []float64) (easiness, se []float64, likelihood float64, err error) {
	n := len(right)
	easiness = make([]float64, n)
	var inverse mat.Dense
	for range mostRounds {
		gradient, information := derivatives(easiness, right, byScore)
		for i := range n { // the scale has no zero of its own: the sum is held
			for j := range n {
				information.Set(i, j, information.At(i, j)+1/float64(n))
			}
		}
		if err := inverse.Inverse(information); err != nil {
			return nil, nil, 0, ErrApart
		}
		var step mat.VecDense
		step.MulVec(&inverse, mat.NewVecDense(n, gradient))
		most := mat.Norm(&step, math.Inf(1))
		for i := range easiness {
			easiness[i] += step.AtVec(i) / max(most, 1) // a long step from far off would overshoot
			if math.Abs(easiness[i]) > farthest || math.IsNaN(easiness[i]) {
				return nil, nil, 0, ErrApart
			}
		}
		if most < 1e-10 {
			for i := range n {
				se = append(se, math.Sqrt(inverse.At(i, i)-1/float64(n)))
				likelihood += right[i] * easiness[i]
			}
			for score, gamma := range symmetric(exponentials(easiness), nil) {
				likelihood -= byScore[score] * math.Log(gamma)
			}
			return easiness, se, likelihood, nil
		}
	}
	return nil, nil, 0, ErrApart
}

// derivatives are the gradient of the conditional log-likelihood and the information, its second derivatives with the sign turned.
func derivatives(easiness, right, byScore []float64) (gradient []float64, information *mat.Dense) {
	n, e := len(right), exponentials(easiness)
	gamma := symmetric(e, nil)
	information = mat.NewDense(n, n, nil)
	gradient = append(gradient, right...)
	chance := make([][]float64, n) // by question and score
	for i := range n {
		chance[i] = make([]float64, n+1)
		for score, g := range symmetric(e, []int{i}) {
			chance[i][score+1] = e[i] * g / gamma[score+1]
		}
		for score, learners := range byScore {
			gradient[i] -= learners * chance[i][score]
			information.Set(i, i, information.At(i, i)+learners*chance[i][score]*(1-chance[i][score]))
		}
	}
	for i := range n {
		for j := range i {
			sum := 0.0
			for score, g := range symmetric(e, []int{i, j}) {
				sum += byScore[score+2] * e[i] * e[j] * g / gamma[score+2]
			}
			for score, learners := range byScore {
				sum -= learners * chance[i][score] * chance[j][score]
			}
			information.Set(i, j, sum)
			information.Set(j, i, sum)
		}
	}
	return gradient, information
}

func exponentials(x []float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = math.Exp(v)
	}
	return out
}

// symmetric returns the elementary symmetric functions of all values but those left out, from order 0 on. They are
// added up and never taken apart again, which keeps all digits.
//
// Source: the summation algorithm, G. H. Fischer, Einführung in die Theorie psychologischer Tests, 1974 (from memory).
func symmetric(values []float64, without []int) []float64 {
	out := []float64{1}
	for i, v := range values {
		if len(without) > 0 && (i == without[0] || i == without[len(without)-1]) {
			continue
		}
		out = append(out, 0)
		for k := len(out) - 1; k > 0; k-- {
			out[k] += out[k-1] * v
		}
	}
	return out
}
