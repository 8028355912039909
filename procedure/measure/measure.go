// Package measure holds quantities with units: read from text, converted
// exactly, compared and written. Numbers are kept as fractions, so that a
// conversion there and back gives the same quantity.
package measure

import (
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"
)

// Quantity is a number of a unit. The zero Quantity means "not stated"; a
// stated quantity of nothing ("0 kg") is something else. Quantities are values:
// no method changes one. Compare them with Equal, not with ==.
type Quantity struct {
	base     *big.Rat // in the dimension's first unit; never changed once set
	unit     *unit
	decimals int    // as written; computed when the quantity was worked out
	written  string // what String gives of a quantity that was written, which pages ask for often; empty for others
}

// writtenIn is the quantity that an author wrote as a number of a unit.
func writtenIn(u *unit, number *big.Rat, decimals int) Quantity {
	return Quantity{base: u.toBase(number), unit: u, decimals: decimals, written: withUnit(number.FloatString(decimals), u)}
}

// computed marks a quantity that nobody wrote down in its unit.
const computed = -1

// New makes a quantity from a number, as an int or in decimal digits, and a unit.
// The error is a *ParseError.
func New[V string | int](value V, unit string) (Quantity, error) {
	return Parse(fmt.Sprint(value) + " " + unit)
}

// Must is Parse for text that is known to be right; it panics when it is not.
func Must(s string) Quantity {
	q, err := Parse(s)
	if err != nil {
		panic("measure: " + strconv.Quote(s) + ": " + err.Error())
	}
	return q
}

// IsZero reports whether the quantity is not stated.
func (q Quantity) IsZero() bool { return q.unit == nil }

// Unit returns the canonical symbol of the quantity's unit; empty when not stated.
func (q Quantity) Unit() string {
	if q.unit == nil {
		return ""
	}
	return q.unit.symbol
}

// Dimension returns what it is a quantity of; NoDimension when not stated.
func (q Quantity) Dimension() Dimension {
	if q.unit == nil {
		return NoDimension
	}
	return q.unit.dimension
}

// SameDimension reports whether both are stated and of one dimension, so that
// they can be compared and added.
func (q Quantity) SameDimension(r Quantity) bool {
	return !q.IsZero() && q.Dimension() == r.Dimension()
}

// Sign returns -1, 0 or 1 for a number below, at or above zero in the
// quantity's own unit; 0 when not stated.
func (q Quantity) Sign() int {
	if q.unit == nil {
		return 0
	}
	return q.number().Sign()
}

// In returns the same quantity in another unit, exactly. It fails for an
// unknown unit, a unit of another dimension and a quantity that is not stated.
func (q Quantity) In(unit string) (Quantity, error) {
	u, err := q.target(unit)
	if err != nil {
		return Quantity{}, err
	}
	if u == q.unit {
		return q, nil
	}
	return Quantity{base: q.base, unit: u, decimals: computed}, nil
}

// Float returns the number in a unit, rounded to the nearest float64. It is NaN
// where In would fail.
func (q Quantity) Float(unit string) float64 {
	u, err := q.target(unit)
	if err != nil {
		return math.NaN()
	}
	if u.zero == nil {
		if f, ok := quotient(q.base, u.factor); ok {
			return f
		}
	}
	f, _ := u.fromBase(q.base).Float64()
	return f
}

func (q Quantity) target(symbol string) (*unit, error) {
	u, ok := lookup(symbol)
	switch {
	case !ok:
		return nil, fmt.Errorf("unknown unit %q", symbol)
	case q.unit == nil:
		return nil, fmt.Errorf("nothing to convert into %s: the quantity is not stated", u.symbol)
	case u.dimension != q.unit.dimension:
		return nil, fmt.Errorf("%s measures %s, and %s measures %s", q, q.unit.dimension, u.symbol, u.dimension)
	}
	return u, nil
}

// Compare returns -1, 0 or 1 for q less than, equal to or greater than r,
// exactly and whatever their units. Quantities of different dimensions are
// ordered by dimension, with "not stated" first: good for sorting and without
// meaning otherwise. Ask SameDimension where it matters.
func (q Quantity) Compare(r Quantity) int {
	if d := int(q.Dimension()) - int(r.Dimension()); d != 0 {
		return min(max(d, -1), 1)
	}
	if q.unit == nil {
		return 0
	}
	return q.base.Cmp(r.base)
}

// Equal reports whether both are the same amount: 1 h equals 60 min.
func (q Quantity) Equal(r Quantity) bool { return q.Compare(r) == 0 }

// Add returns the sum in q's unit. It fails for different dimensions and for temperatures.
func (q Quantity) Add(r Quantity) (Quantity, error) { return q.combine(r, (*big.Rat).Add) }

// Sub returns the difference in q's unit. It fails where Add does.
func (q Quantity) Sub(r Quantity) (Quantity, error) { return q.combine(r, (*big.Rat).Sub) }

func (q Quantity) combine(r Quantity, operation func(z, x, y *big.Rat) *big.Rat) (Quantity, error) {
	if !q.SameDimension(r) {
		return Quantity{}, fmt.Errorf("cannot add %s and %s", q.Dimension(), r.Dimension())
	}
	if q.Dimension() == Temperature {
		return Quantity{}, fmt.Errorf("temperatures do not add")
	}
	return Quantity{base: operation(new(big.Rat), q.base, r.base), unit: q.unit, decimals: computed}, nil
}

// Times returns n times the quantity; a temperature or a quantity that is not stated stays as it is.
func (q Quantity) Times(n int) Quantity {
	if q.unit == nil || q.unit.dimension == Temperature {
		return q
	}
	return Quantity{base: new(big.Rat).Mul(q.base, big.NewRat(int64(n), 1)), unit: q.unit, decimals: computed}
}

// Share returns the part of the quantity that a ratio says, in q's unit: 30 % of 120 N·m. A ratio that is none, a
// temperature or a quantity that is not stated gives the zero Quantity.
func (q Quantity) Share(ratio Quantity) Quantity {
	if q.IsZero() || ratio.Dimension() != Ratio || q.Dimension() == Temperature {
		return Quantity{}
	}
	share := new(big.Rat).Mul(q.base, ratio.base)
	return Quantity{base: share.Quo(share, big.NewRat(100, 1)), unit: q.unit, decimals: computed}
}

// Window returns the least and the greatest amount that a tolerance allows, in
// q's unit. The tolerance is in percent of q or in q's dimension, and counts to
// both sides; one that is not stated gives q twice.
func (q Quantity) Window(tolerance Quantity) (low, high Quantity, err error) {
	if tolerance.IsZero() {
		return q, q, nil
	}
	if tolerance.Dimension() == Ratio && q.Dimension() != Ratio && !q.IsZero() {
		tolerance = q.Share(tolerance)
	}
	if low, err = q.Sub(tolerance); err != nil {
		return Quantity{}, Quantity{}, fmt.Errorf("tolerance %s of %s: %w", tolerance, q, err)
	}
	high, err = q.Add(tolerance)
	return low, high, err
}

// number is the number in the quantity's own unit.
func (q Quantity) number() *big.Rat { return q.unit.fromBase(q.base) }

// mostDecimals is how many decimals String writes of a quantity that was worked out.
const mostDecimals = 6

// String writes the number as the author did, with the canonical symbol: "45 N·m".
// A quantity that was worked out has as many decimals as it needs, at most six.
// It is empty for a quantity that is not stated.
func (q Quantity) String() string {
	if q.unit == nil {
		return ""
	}
	if q.decimals != computed {
		return q.written
	}
	n := q.number().FloatString(mostDecimals)
	return withUnit(positiveZero(strings.TrimRight(strings.TrimRight(n, "0"), ".")), q.unit)
}

// Format writes the quantity in a unit with a fixed number of decimals. Halves
// are rounded away from zero: 2.5 becomes 3. An empty unit is the quantity's
// own, and so is one that does not fit: text for people never fails.
func (q Quantity) Format(unit string, decimals int) string {
	if q.unit == nil {
		return ""
	}
	u, err := q.target(unit)
	if err != nil {
		u = q.unit
	}
	return withUnit(positiveZero(u.fromBase(q.base).FloatString(max(decimals, 0))), u)
}

// positiveZero takes the sign off a negative number that was rounded to zero.
func positiveZero(n string) string {
	if strings.Trim(n, "-0.") == "" {
		return strings.TrimPrefix(n, "-")
	}
	return n
}

// withUnit puts a space before the symbol, but not before the sign of a degree of angle.
func withUnit(number string, u *unit) string {
	if u.symbol == "°" {
		return number + u.symbol
	}
	return number + " " + u.symbol
}
