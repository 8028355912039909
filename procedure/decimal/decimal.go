// Package decimal writes floating-point numbers with so many decimals, as a reader
// rounds them: by the number as it is written out, halves away from zero.
package decimal

import (
	"math"
	"math/big"
	"strconv"
)

// near is how close to a half, or to a whole number, a number counts as that: what the
// last bits of a sum or a product leave over.
const near = 1e-9

// Format writes a number with so many decimals, halves away from zero: 8.35 gives
// 8.4 with one, though the nearest binary number lies below.
func Format(x float64, places int) string {
	if places < 0 || places > 15 || math.IsNaN(x) || math.IsInf(x, 0) {
		return strconv.FormatFloat(x, 'f', places, 64)
	}
	scaled := math.Abs(x) * math.Pow10(places)
	if _, part := math.Modf(scaled); math.Abs(part-0.5) > max(near, scaled*near) {
		return strconv.FormatFloat(x, 'f', places, 64)
	}
	written, _ := new(big.Rat).SetString(strconv.FormatFloat(x, 'e', 13, 64)) // 14 digits, without the last bits
	return written.FloatString(places)
}

// Up returns the least number of so many decimals that is not below x, and Down the
// greatest that is not above it.
func Up(x float64, places int) float64 { return -Down(-x, places) }

// Down is described at Up.
func Down(x float64, places int) float64 {
	unit := math.Pow10(places)
	scaled := x * unit
	return math.Floor(scaled+max(near, math.Abs(scaled)*near)) / unit
}
