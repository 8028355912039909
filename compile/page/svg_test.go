package page

import "testing"

func TestDecimal(t *testing.T) {
	for x, want := range map[float64]string{
		0: "0", 12: "12", 12.34: "12.3", 12.36: "12.4", 0.04: "0", -0.04: "0", -0.5: "-0.5", -3.21: "-3.2", 9.97: "10", 123456.7: "123456.7",
	} {
		if got := Decimal(x); got != want {
			t.Errorf("%v: %q, want %q", x, got, want)
		}
	}
}
