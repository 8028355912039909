// Package position reads places on a machine: where its parts have their centre of mass, where things join, rest and hang.
// A place has one coordinate, along an axis that the author chooses, or three: x and y level, z upward. They are in millimetres.
package position

import (
	"errors"
	"math/big"
	"regexp"
	"strings"

	"matchmark/procedure/statics"
)

// List is a list of places as it is compared and kept: "420", or "0, 0, 310 / 800, 0, 310". Empty means that nothing is stated.
type List string

// The errors of Parse.
var (
	ErrForm    = errors.New("not a place")
	ErrNumbers = errors.New("a place has one number or three")
	ErrMixed   = errors.New("places with one number and with three")
	ErrFar     = errors.New("farther than 100 m away")
	ErrMany    = errors.New("more places than 12")
)

const (
	between  = "/"
	most     = 12
	farthest = 100_000 // mm
)

// coordinate is a number with an optional unit; without one it is in millimetres.
var coordinate = regexp.MustCompile(`^([+-]?[0-9]{1,7}(?:\.[0-9]{1,4})?)\s*(mm|cm|m|in)?$`)

var units = map[string]*big.Rat{"": big.NewRat(1, 1), "mm": big.NewRat(1, 1), "cm": big.NewRat(10, 1), "m": big.NewRat(1000, 1), "in": big.NewRat(254, 10)}

// Parse reads places: a slash stands between them, or a semicolon, and commas between the numbers of one.
func Parse(s string) (List, error) {
	var out []string
	numbers := 0
	for _, place := range strings.Split(strings.ReplaceAll(s, ";", between), between) {
		var written []string
		for _, c := range strings.Split(place, ",") {
			m := coordinate.FindStringSubmatch(strings.ReplaceAll(strings.TrimSpace(c), "−", "-"))
			if m == nil {
				return "", ErrForm
			}
			x, ok := new(big.Rat).SetString(m[1])
			if !ok {
				return "", ErrForm
			}
			if x.Mul(x, units[m[2]]); new(big.Rat).Abs(x).Cmp(big.NewRat(farthest, 1)) > 0 {
				return "", ErrFar
			}
			written = append(written, plain(x))
		}
		if len(written) != 1 && len(written) != 3 {
			return "", ErrNumbers
		}
		if numbers != 0 && len(written) != numbers {
			return "", ErrMixed
		}
		numbers = len(written)
		out = append(out, strings.Join(written, ", "))
	}
	if len(out) > most {
		return "", ErrMany
	}
	return List(strings.Join(out, " "+between+" ")), nil
}

// Size is a length and a width in millimetres, such as "700 x 500". Empty when not stated.
type Size string

// ParseSize reads a length and a width, with an x or × between them.
func ParseSize(s string) (Size, error) {
	a, b, both := strings.Cut(strings.ReplaceAll(s, "×", "x"), "x")
	first, err := Parse(a)
	second, err2 := Parse(b)
	if !both || err != nil || err2 != nil || !first.Line() || !second.Line() || len(first.Each()) != 1 || len(second.Each()) != 1 {
		return "", ErrForm
	}
	size := Size(string(first) + " x " + string(second))
	if length, width := size.Sides(); length.Sign() <= 0 || width.Sign() <= 0 {
		return "", ErrForm
	}
	return size, nil
}

// Sides returns the length and the width; zero when they are not stated.
func (s Size) Sides() (length, width *big.Rat) {
	a, b, _ := strings.Cut(string(s), " x ")
	side := func(s string) *big.Rat {
		if p := List(s).Points(); len(p) == 1 {
			return p[0].X
		}
		return new(big.Rat)
	}
	return side(a), side(b)
}

// plain writes a number with as many decimals as it needs.
func plain(x *big.Rat) string {
	s := x.FloatString(6) // four decimals in inches make five
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}

// Line reports whether the places have one coordinate.
func (l List) Line() bool { return l != "" && !strings.Contains(string(l), ",") }

// Each returns the places one by one.
func (l List) Each() []List {
	var out []List
	for _, place := range strings.Split(string(l), between) {
		if place = strings.TrimSpace(place); place != "" {
			out = append(out, List(place))
		}
	}
	return out
}

// Points returns the places. What is not stated of one is 0.
func (l List) Points() []statics.Point {
	if l == "" {
		return nil
	}
	var out []statics.Point
	for _, place := range strings.Split(string(l), between) {
		p := statics.At(0, 0, 0)
		to := []*big.Rat{p.X, p.Y, p.Z}
		for i, c := range strings.Split(place, ",") {
			if x, ok := new(big.Rat).SetString(strings.TrimSpace(c)); ok && i < len(to) {
				to[i].Set(x)
			}
		}
		out = append(out, p)
	}
	return out
}

// String writes the places for people.
func (l List) String() string { return string(l) }

// Of writes a place, with its three coordinates or the one along the line, to a tenth of a millimetre.
func Of(p statics.Point, line bool) string {
	tenth := func(x *big.Rat) string {
		s := strings.TrimSuffix(x.FloatString(1), ".0")
		if s == "-0" {
			return "0"
		}
		return s
	}
	if line {
		return tenth(p.X)
	}
	return tenth(p.X) + ", " + tenth(p.Y) + ", " + tenth(p.Z)
}
