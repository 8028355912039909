package measure

import (
	"math/big"
	"strings"

	"matchmark/procedure/say"
)

// ParseWithin reads a quantity together with what it may deviate: "45 ± 5 N·m", "13 mm +/- 0.1 mm",
// "45 N·m ± 10 %", or a range, "23-27 lbf·ft", whose middle is the value and whose half width the
// tolerance. The tolerance is not stated when none is written. A number alone is one of the given unit,
// empty for none. Every error is a *ParseError.
func (r Reading) ParseWithin(s, unit string) (value, tolerance Quantity, err error) {
	value, err = r.parse(s, unit)
	if err == nil {
		return value, Quantity{}, nil
	}
	if value, tolerance, ok := r.within(s, unit); ok {
		return value, tolerance, nil
	}
	for _, sign := range rangeSigns {
		if from, to, found := strings.Cut(s, sign); found {
			high, errHigh := r.parse(to, unit)
			low, errLow := r.parse(from, high.Unit())
			if errHigh == nil && errLow == nil && low.SameDimension(high) && low.Compare(high) > 0 {
				start, end := trimmed(s)
				return Quantity{}, Quantity{}, wrong(s, start, end, say.That("the range starts with its larger end"), say.That("Write the smaller one first: %from to %to.", say.Word(high.String()), say.Word(low.String())), "")
			}
		}
	}
	for _, sign := range toleranceSigns {
		left, right, found := strings.Cut(s, sign)
		if start, end := trimmed(left); found && start < end {
			n, errNumber := r.number(left, start, end)
			if _, errRight := r.parse(right, ""); errNumber == nil && errRight == nil && n.at == end {
				return Quantity{}, Quantity{}, wrong(s, start, end, say.That("the number before the tolerance has no unit"), say.That("Write it behind the number, such as 45 N·m ± 10 %."), "")
			}
		}
	}
	if start, end := trimmed(s); strings.HasPrefix(strings.TrimSpace(s), "±") {
		return Quantity{}, Quantity{}, wrong(s, start, end, say.That("the value before the tolerance is missing"), say.That("Write both, such as 45 ± 5 N·m."), "")
	}
	return Quantity{}, Quantity{}, err
}

// ParseLimits reads a range, or a value with its tolerance, as its two ends: "12 to 13 mm" and
// "12.5 ± 0.5 mm" alike. ok is false for all else.
func (r Reading) ParseLimits(s string) (low, high Quantity, ok bool) {
	for _, sign := range rangeSigns {
		if low, high, ok := r.ends(s, sign, ""); ok {
			return low, high, true
		}
	}
	value, tolerance, ok := r.within(s, "")
	if !ok {
		return Quantity{}, Quantity{}, false
	}
	low, high, err := value.Window(tolerance)
	return low, high, err == nil
}

var (
	toleranceSigns = []string{"±", "+/-", "+/−", "+-"}
	rangeSigns     = []string{" to ", "–", "—", " - ", "-"}
)

// within reads a value with a tolerance, or a range; unit is that of numbers without one, empty for none.
func (r Reading) within(s, unit string) (value, tolerance Quantity, ok bool) {
	for _, sign := range toleranceSigns {
		left, right, found := strings.Cut(s, sign)
		if !found {
			continue
		}
		tolerance, err := r.parse(right, unit)
		if err != nil || tolerance.Sign() < 0 {
			return Quantity{}, Quantity{}, false
		}
		if tolerance.Dimension() != Ratio {
			unit = tolerance.Unit()
		}
		value, err := r.parse(left, unit)
		if err != nil || value.Dimension() == Ratio != (tolerance.Dimension() == Ratio) && tolerance.Dimension() != Ratio {
			return Quantity{}, Quantity{}, false
		}
		_, _, err = value.Window(tolerance)
		return value, tolerance, err == nil
	}
	for _, sign := range rangeSigns {
		if low, high, ok := r.ends(s, sign, unit); ok && low.Dimension() != Temperature {
			half := big.NewRat(1, 2)
			middle := new(big.Rat).Add(low.base, high.base)
			width := new(big.Rat).Sub(high.base, low.base)
			value := Quantity{base: middle.Mul(middle, half), unit: high.unit, decimals: computed}
			tolerance := Quantity{base: width.Mul(width, half), unit: high.unit, decimals: computed}
			return value, tolerance, true
		}
	}
	return Quantity{}, Quantity{}, false
}

// ends reads the two ends of a range with a sign between them, in rising order. A first end without a unit has
// that of the second one.
func (r Reading) ends(s, sign, unit string) (low, high Quantity, ok bool) {
	// A minus at the start, and a hyphen in a unit such as ft-lb, divide nothing.
	for from := 1; from < len(s); {
		at := strings.Index(s[from:], sign)
		if at < 0 {
			break
		}
		at += from
		from = at + len(sign)
		high, err := r.parse(s[from:], unit)
		if err != nil {
			continue
		}
		low, err := r.parse(s[:at], high.Unit())
		if err == nil && low.Dimension() == high.Dimension() && low.Compare(high) <= 0 && (high.Sign() >= 0 || strings.Contains(s[from:], "-")) {
			return low, high, true
		}
	}
	return Quantity{}, Quantity{}, false
}

// Tidy writes a quantity with its unit's own symbol and one space before it: "45Nm" becomes "45 N·m". What is
// not a number with a unit stays as it is.
func (r Reading) Tidy(s string) string {
	start, end := trimmed(s)
	if start == end {
		return s
	}
	n, err := r.number(s, start, end)
	if err != nil {
		return s
	}
	from := skipSpace(s, n.at, end)
	if from == end {
		return s
	}
	u, err := unitAt(s, from, end)
	if err != nil {
		return s
	}
	if u.symbol == "°" {
		return s[start:n.at] + " deg" // a keyboard has no sign for it
	}
	return withUnit(s[start:n.at], u)
}
