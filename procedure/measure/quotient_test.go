package measure

import (
	"math/big"
	"testing"

	"pgregory.net/rapid"
)

// The short division gives what math/big gives, to the last bit.
func TestQuotientAgainstBigFractions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		fraction := func(name string) *big.Rat {
			most := uint64(1)<<rapid.IntRange(1, 63).Draw(t, name+" bits") - 1
			n := rapid.Uint64Range(1, most).Draw(t, name)
			d := rapid.SampledFrom([]uint64{1, 2, 3, 10, 1000, 2500000000000000, most}).Draw(t, name+" over")
			return new(big.Rat).SetFrac(new(big.Int).SetUint64(n), new(big.Int).SetUint64(d))
		}
		a, b := fraction("a"), fraction("b")
		want, _ := new(big.Rat).Quo(a, b).Float64()
		if got, ok := quotient(a, b); ok && got != want {
			t.Fatalf("%v / %v is %v, want %v", a, b, got, want)
		}
	})
}

// Whatever a workshop writes takes the short way, in every unit.
func TestQuotientOfUsualQuantities(t *testing.T) {
	for _, u := range units {
		for _, number := range []string{"0.001", "0.5", "1", "8.25", "9.99", "24", "260", "1999.5", "48000"} {
			n, ok := new(big.Rat).SetString(number)
			if !ok {
				t.Fatal(number)
			}
			for _, a := range []*big.Rat{n, new(big.Rat).Mul(n, u.factor)} {
				if a.Denom().BitLen() > 12 {
					continue // of a unit that is defined to many digits
				}
				want, _ := new(big.Rat).Quo(a, u.factor).Float64()
				if got, ok := quotient(a, u.factor); !ok || got != want {
					t.Errorf("%s of %s: %v, %v; want %v", a, u.symbol, got, ok, want)
				}
			}
		}
	}
}

func TestQuotientLeavesTheRest(t *testing.T) {
	long, _ := new(big.Rat).SetString("1234567890123456789012345678901234567890")
	one := big.NewRat(1, 1)
	for _, a := range []*big.Rat{new(big.Rat), big.NewRat(-1, 2), long, new(big.Rat).Inv(long)} {
		if _, ok := quotient(a, one); ok {
			t.Errorf("%v was taken", a)
		}
	}
}
