package measure

import (
	"math"
	"strings"
	"testing"

	"matchmark/procedure/published"
)

// Source: GNU units 2.22 from the exact definitions (column factor); U.S. Navy
// "SI Conversion Factors" and a trade table (column check_rounded). The file says which row is which.
func TestFactors(t *testing.T) {
	symbols := map[string]string{"kgf.m": "kgf·m", "gal(US)": "US gal", "qt(US liquid)": "US qt", "fl oz(US)": "US fl oz"}
	for _, row := range published.Rows(t, "07_unit_factors.csv") {
		from, to := row["from"], row["to"]
		if s, ok := symbols[from]; ok {
			from = s
		}
		q, err := New(1, from)
		if err != nil {
			t.Errorf("%s: %v", from, err)
			continue
		}
		want := row.Number(t, "factor")
		got := q.Float(to)
		if row["exact"] == "exact" && got != want || math.Abs(got/want-1) > 1e-14 {
			t.Errorf("1 %s is %v %s, want %v", from, got, to, want)
		}
		if check := strings.TrimRight(strings.Fields(row["check_rounded"] + " -")[0], "*"); check != "-" {
			want := published.Number(t, check)
			if math.Abs(got/want-1) > 1e-4 {
				t.Errorf("1 %s is %v %s, the published table rounds it to %v", from, got, to, want)
			}
		}
	}
}

func TestUnitTable(t *testing.T) {
	seen := map[string]string{}
	for _, u := range Units() {
		if u.Dimension == NoDimension || u.Dimension.String() == "unknown" || u.Name == "" || u.Factor == "" {
			t.Errorf("row %q is incomplete: %+v", u.Symbol, u)
		}
		for _, s := range append([]string{u.Symbol}, u.Aliases...) {
			if other, taken := seen[s]; taken {
				t.Errorf("%q is a spelling of %s and of %s", s, other, u.Symbol)
			}
			seen[s] = u.Symbol
			q, err := New(1, s)
			if err != nil || q.Unit() != u.Symbol || q.Dimension() != u.Dimension {
				t.Errorf("1 %s is read as %s (%v), want %s", s, q, err, u.Symbol)
			}
		}
	}
	for i := range units {
		for _, w := range units[i].wrong {
			if s, taken := seen[w]; taken {
				t.Errorf("%q is called a mistake for %s and is a spelling of %s", w, units[i].symbol, s)
			}
		}
	}
	if Units()[0].Base != "N·m" {
		t.Errorf("the base of torque is %s", Units()[0].Base)
	}
}
