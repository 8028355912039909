// Package learning works out how much faster a job goes when it is done again.
//
// A curve has a rate r: with every doubling of the repetitions the time falls to
// the r-fold. What that time is, the two usual forms see differently. Crawford
// takes the time of the single repetition, Wright the average of all so far. With
// the same rate, Wright's repetitions are the faster ones.
package learning

import (
	"fmt"
	"math"
)

// Form says what falls to the r-fold with every doubling.
type Form string

// The two forms.
const (
	// Crawford's: the time of the single repetition (the unit).
	Crawford Form = "crawford"
	// Wright's: the average time of all repetitions so far.
	Wright Form = "wright"
)

// Forms lists the forms in the order of the language reference.
var Forms = []Form{Crawford, Wright}

// Curve is a learning curve. The zero Curve knows no learning: every repetition takes the same time.
type Curve struct {
	Form Form `word:"learning"`
	// Rate is the r of r-fold, over 0.5 and up to 1: 0.8 for an 80 % curve.
	Rate float64
}

// New returns a curve. The error says which value makes no curve. Wright's form
// needs a rate above 0.5: with less, a second repetition would take no time at all.
// The same limit holds for both, since nobody learns that fast.
func New(form Form, rate float64) (Curve, error) {
	if form != Crawford && form != Wright {
		return Curve{}, fmt.Errorf("%q is no form of a learning curve; use crawford or wright", form)
	}
	if !(rate > 0.5 && rate <= 1) {
		return Curve{}, fmt.Errorf("a learning rate of %g is out of range; use a number over 0.5 and up to 1, such as 0.9", rate)
	}
	return Curve{form, rate}, nil
}

// Exponent returns b = ln r / ln 2, the slope of the curve on doubly logarithmic
// paper; 0 or less.
//
// Source: documentation of the R package learningCurve 1.1.2.
func (c Curve) Exponent() float64 {
	if c.Rate == 0 {
		return 0
	}
	return math.Log(c.Rate) / math.Ln2
}

// Unit returns the time of the n-th repetition, as a part of the first. It is
// n^b in Crawford's form and n^(1+b) - (n-1)^(1+b) in Wright's. An n below 1 counts as 1.
//
// Source: documentation of the R package learningCurve 1.1.2.
func (c Curve) Unit(n int) float64 {
	n = max(n, 1)
	if c.Form == Wright {
		return c.wrightTotal(n) - c.wrightTotal(n-1)
	}
	return math.Pow(float64(n), c.Exponent())
}

// Total returns the time of the repetitions from the m-th to the n-th together, in
// units of the first. In Crawford's form it adds them up one by one.
func (c Curve) Total(m, n int) float64 {
	m = max(m, 1)
	if n < m {
		return 0
	}
	if c.Form == Wright {
		return c.wrightTotal(n) - c.wrightTotal(m-1)
	}
	sum := 0.0
	for i := m; i <= n; i++ {
		sum += c.Unit(i)
	}
	return sum
}

func (c Curve) wrightTotal(n int) float64 { return math.Pow(float64(n), 1+c.Exponent()) }

// Average returns the average time of the first n repetitions, as a part of the first.
func (c Curve) Average(n int) float64 {
	n = max(n, 1)
	return c.Total(1, n) / float64(n)
}

// Factor returns what a time that was stated for one repetition must be
// multiplied by to hold for another. With stated 1, the author's estimates are
// those of somebody who does the job for the first time; with a higher number
// they are those of somebody practised, and a first time takes longer.
func (c Curve) Factor(stated, repetition int) float64 {
	return c.Unit(repetition) / c.Unit(stated)
}

// Row is one repetition of a table.
type Row struct {
	// Repetition is counted from 1.
	Repetition int
	// Factor is the repetition's time as a part of the stated one.
	Factor float64
	// Time is the repetition's time, Average and Total those of all up to it.
	Time, Average, Total float64
}

// Table returns the first repetitions of a job, up to the given one. The time is
// stated for one repetition, as in Factor, and all times come in its unit.
func (c Curve) Table(time float64, stated, upTo int) []Row {
	first := time * c.Factor(stated, 1)
	var out []Row
	total := 0.0
	for n := 1; n <= upTo; n++ {
		unit := first * c.Unit(n)
		total += unit
		out = append(out, Row{Repetition: n, Factor: c.Factor(stated, n), Time: unit, Average: total / float64(n), Total: total})
	}
	return out
}
