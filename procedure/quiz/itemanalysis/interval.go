package itemanalysis

import "math"

// certain is the standard normal deviate of a two-sided confidence of 95 %.
const certain = 1.959963984540054

// Wilson returns between which shares the truth lies with 95 % confidence when
// some of n did a thing: the score interval, which holds for small classes and
// never leaves 0 to 1. For n = 0 it is 0 to 1.
//
// Source: E. B. Wilson, Probable inference, the law of succession, and statistical inference, Journal of the American Statistical Association 22 (1927), pp. 209-212;
// recommended for small n by R. G. Newcombe, Statistics in Medicine 17 (1998), pp. 857-872.
func Wilson(some, n int) (low, high float64) {
	if n <= 0 {
		return 0, 1
	}
	return WilsonShare(float64(some)/float64(n), float64(n), certain)
}

// WilsonShare is Wilson for a share of so many that need not be whole, such as those that a sample is worth, and for a
// deviate of another confidence.
func WilsonShare(p, count, z float64) (low, high float64) {
	z2 := z * z
	middle := p + z2/(2*count)
	half := z * math.Sqrt(p*(1-p)/count+z2/(4*count*count))
	whole := 1 + z2/count
	return max((middle-half)/whole, 0), min((middle+half)/whole, 1)
}
