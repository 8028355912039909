package measure

import (
	"math/rand/v2"
	"testing"
)

// The quick way to read a time says what the exact one says: with a unit behind it, a time is read the exact way.
func TestWholeMinutesAreReadAlike(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	quick := 0
	for range 20_000 {
		s := make([]byte, r.IntN(9))
		for i := range s {
			s[i] = "0123456789///. -"[r.IntN(16)]
		}
		a, m, b, ok := wholeMinutes(string(s))
		if !ok {
			continue
		}
		quick++
		if x, y, z, err := ParseEstimate(string(s) + " min"); err != nil || x != a || y != m || z != b {
			t.Errorf("%q: %v/%v/%v, the exact way %v/%v/%v, %v", s, a, m, b, x, y, z, err)
		}
	}
	if quick < 1000 {
		t.Errorf("only %d times were read the quick way", quick)
	}
	for _, s := range []string{"4/6/10", "5", "0"} {
		if _, _, _, ok := wholeMinutes(s); !ok {
			t.Errorf("%q is not read the quick way", s)
		}
	}
}
