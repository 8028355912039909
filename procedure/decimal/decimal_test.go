package decimal

import (
	"math"
	"math/big"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// Halves by hand: what is written as a half goes away from zero, whatever its bits; 2.675 and 1.005 are the usual traps.
func TestFormat(t *testing.T) {
	for _, c := range []struct {
		x      float64
		places int
		want   string
	}{
		{8.35, 1, "8.4"}, {8.25, 1, "8.3"}, {-8.35, 1, "-8.4"}, {2.675, 2, "2.68"}, {1.005, 2, "1.01"}, {0.5, 0, "1"}, {2.5, 0, "3"},
		{-0.5, 0, "-1"}, {8.349, 1, "8.3"}, {0.1 + 0.2, 1, "0.3"}, {1.1 * 1.5, 2, "1.65"}, {1.1 * 1.5, 1, "1.7"}, {0, 2, "0.00"},
		{113.925, 2, "113.93"}, {1234567.85, 1, "1234567.9"}, {math.Inf(1), 1, "+Inf"}, {1.5, -1, "1.5"},
	} {
		if got := Format(c.x, c.places); got != c.want {
			t.Errorf("%v with %d decimals: %s, want %s", c.x, c.places, got, c.want)
		}
	}
}

// Against fractions: what is written with one decimal more than asked for is rounded as the fraction is.
func TestFormatAsWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		places := rapid.IntRange(0, 4).Draw(t, "places")
		number := strconv.Itoa(rapid.IntRange(-999999, 999999).Draw(t, "digits")) + "e-" + strconv.Itoa(places+1)
		x, err := strconv.ParseFloat(number, 64)
		exact, ok := new(big.Rat).SetString(number)
		if err != nil || !ok {
			t.Fatal(number)
		}
		if got, want := Format(x, places), exact.FloatString(places); got != want {
			t.Fatalf("%s with %d decimals: %s, want %s", number, places, got, want)
		}
	})
}

func TestUpAndDown(t *testing.T) {
	for _, c := range []struct {
		x        float64
		places   int
		down, up float64
	}{
		{113.925, 1, 113.9, 114}, {103.075, 1, 103, 103.1}, {76, 0, 76, 76}, {0.3, 1, 0.3, 0.3}, {0.1 + 0.2, 1, 0.3, 0.3},
		{-1.25, 1, -1.3, -1.2}, {80 * 0.95, 1, 76, 76}, {19.99999, 2, 19.99, 20},
	} {
		if down, up := Down(c.x, c.places), Up(c.x, c.places); math.Abs(down-c.down) > 1e-12 || math.Abs(up-c.up) > 1e-12 {
			t.Errorf("%v with %d decimals: %v and %v, want %v and %v", c.x, c.places, down, up, c.down, c.up)
		}
	}
}
