package measure

import (
	"math"
	"math/big"
	"math/bits"
)

// quotient is a/b rounded to the nearest float64, without fractions of any
// length: it works for what people write, and not for a number that is zero,
// negative or has very many digits.
func quotient(a, b *big.Rat) (f float64, ok bool) {
	aNum, aDenom, aFits := words(a)
	bNum, bDenom, bFits := words(b)
	high, by := bits.Mul64(aDenom, bNum)
	if !aFits || !bFits || high > 0 {
		return 0, false
	}
	high, low := bits.Mul64(aNum, bDenom)
	// Both are moved up until their highest bit is set, so that 64 bits come out.
	up := bits.LeadingZeros64(by)
	by <<= up
	exponent := up
	if high == 0 {
		high, low = low, 0
		exponent -= 64
	}
	up = bits.LeadingZeros64(high)
	high, low = high<<up|low>>(64-up), low<<up
	exponent -= up
	lost := uint64(0)
	if high >= by {
		lost = low & 1
		high, low = high>>1, high<<63|low>>1
		exponent++
	}
	result, rest := bits.Div64(high, low, by)
	if rest|lost > 0 {
		result |= 1 // a bit behind all that a float64 holds says on which side of a half it is
	}
	return math.Ldexp(float64(result), exponent), true
}

// words are numerator and denominator of a fraction above zero, if both fit into a machine word.
func words(r *big.Rat) (numerator, denominator uint64, ok bool) {
	if r.Sign() <= 0 || !r.Num().IsUint64() {
		return 0, 0, false
	}
	if r.IsInt() {
		return r.Num().Uint64(), 1, true
	}
	return r.Num().Uint64(), r.Denom().Uint64(), r.Denom().IsUint64()
}
