package itemanalysis

import "math"

func sum(x []float64) float64 {
	total := 0.0
	for _, v := range x {
		total += v
	}
	return total
}

func mean(x []float64) float64 { return sum(x) / float64(len(x)) }

// variance divides the squared deviations by the number of values less the given
// degrees: 0 for the class itself, 1 for the learners that it stands for.
func variance(x []float64, degrees int) float64 {
	if len(x) <= degrees {
		return math.NaN()
	}
	m, total := mean(x), 0.0
	for _, v := range x {
		total += (v - m) * (v - m)
	}
	return total / float64(len(x)-degrees)
}

// Correlation returns the product-moment correlation of two variables, from -1
// to 1; NaN when one of them does not vary. With one variable of two values it is
// the point-biserial correlation.
//
// Source: K. Pearson, Notes on regression and inheritance in the case of two parents, Proc. Royal Society 58 (1895) (from memory).
func Correlation(x, y []float64) float64 {
	mx, my := mean(x), mean(y)
	var xy, xx, yy float64
	for i := range x {
		dx, dy := x[i]-mx, y[i]-my
		xy += dx * dy
		xx += dx * dx
		yy += dy * dy
	}
	if xx == 0 || yy == 0 {
		return math.NaN()
	}
	return xy / math.Sqrt(xx*yy)
}

// minus returns the differences of two variables.
func minus(x, y []float64) []float64 {
	out := make([]float64, len(x))
	for i := range x {
		out[i] = x[i] - y[i]
	}
	return out
}
