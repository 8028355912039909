package itemanalysis

import (
	"math"
	"slices"
	"testing"

	"matchmark/procedure/published"
)

// reliability is testdata/reference/29_reliability.json, which names its sources.
type reliabilities struct {
	Feldt []struct {
		Source              string
		Alpha, Level        float64
		Questions, Learners int
		Expected            [2]float64
	}
	Normal struct {
		Mean, SD, Reliability    float64
		Cut                      int
		Agreement, Chance, Kappa float64
	}
	Tables struct{ Agreement, Kappa [][]float64 }
}

func TestFeldt(t *testing.T) {
	var known reliabilities
	published.JSON(t, "29_reliability.json", &known)
	for _, c := range known.Feldt {
		low, high := Feldt(c.Alpha, c.Questions, c.Learners, c.Level)
		if math.Abs(low-c.Expected[0]) > 1e-6 || math.Abs(high-c.Expected[1]) > 1e-6 {
			t.Errorf("%s: %.7f to %.7f, want %v", c.Source, low, high, c.Expected)
		}
	}
	if low, _ := Feldt(0.5, 1, 10, 0.95); Known(low) || len(known.Feldt) != 6 {
		t.Error("an interval for one question")
	}
}

// Table cells have two decimals; the three that are wrong in print are tested by their recomputed value.
func TestConsistency(t *testing.T) {
	var known reliabilities
	published.JSON(t, "29_reliability.json", &known)
	n := known.Normal
	d := Analysis{Mean: n.Mean, SD: n.SD, Alpha: n.Reliability, AlphaLow: 0, AlphaHigh: 1}.Consistency(n.Cut)
	if math.Abs(d.Agreement-n.Agreement) > 1e-8 || math.Abs(d.Chance-n.Chance) > 1e-8 || math.Abs(d.Kappa-n.Kappa) > 1e-8 {
		t.Errorf("%+v, want %+v", d, n)
	}
	if d.Low != d.Chance || math.Abs(d.High-1) > 1e-7 {
		t.Errorf("from no reliability to all: %v to %v", d.Low, d.High)
	}
	slips := map[[3]float64]float64{{0, 1.0, 0.4}: 0.7898, {1, 1.6, 0.3}: 0.1014, {0, 1.7, 0.7}: 0.9448}
	cells := 0
	for table, rows := range [][][]float64{known.Tables.Agreement, known.Tables.Kappa} {
		for _, row := range rows {
			for i, want := range row[1:] {
				z, r := row[0], float64(i+1)/10
				got, near := agreement(z, r), 0.0051
				if table == 1 {
					got = (got - agreement(z, 0)) / (1 - agreement(z, 0))
				}
				if slip, is := slips[[3]float64{float64(table), z, r}]; is {
					want, near = slip, 0.00005
				}
				if cells++; math.Abs(got-want) > near {
					t.Errorf("table %d, z %v, r %v: %.4f, want %v", table, z, r, got, want)
				}
			}
		}
	}
	if cells != 378 {
		t.Errorf("%d cells", cells)
	}
	if none := Analyse(class("10", "10")).Consistency(1); Known(none.Agreement) || slices.Contains([]float64{none.Low, none.High}, 0) {
		t.Errorf("%+v", none)
	}
}
