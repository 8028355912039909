package learning

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure/published"
)

// half is half a unit of the last printed digit.
func half(printed string) float64 {
	_, digits, _ := strings.Cut(printed, ".")
	return 0.5000001 * math.Pow10(-len(digits))
}

// Source: documentation of the R package learningCurve 1.1.2 (rows "example"); the tables of
// factors were computed with Python 3 (rows "unit_factor" and "cum_factor").
func TestPublishedValues(t *testing.T) {
	models := map[string]int{}
	for _, r := range published.Rows(t, "03_learning_curve.csv") {
		models[r["model"]]++
		rate, first := r.Number(t, "r"), r.Number(t, "t1_or_tm")
		m, n := int(r.Number(t, "m")), int(r.Number(t, "n"))
		crawford, err := New(Crawford, rate)
		assert.NilError(t, err)
		wright, err := New(Wright, rate)
		assert.NilError(t, err)
		var got float64
		switch r["model"] {
		case "crawford_unit":
			got = first * crawford.Factor(m, n)
		case "crawford_cumulative":
			got = first * crawford.Total(1, n)
		case "wright_unit":
			got = first * wright.Factor(m, n)
		case "wright_block_201_to_250":
			got = first * wright.Total(201, n)
		case "crawford_minus_wright_unit":
			got = first * (crawford.Unit(n) - wright.Unit(n))
		default:
			t.Fatalf("no model %s", r["model"])
		}
		if want := r.Number(t, "value"); math.Abs(got-want) > half(r["value"]) {
			t.Errorf("%s r=%v n=%d: %.7f, want %s", r["model"], rate, n, got, r["value"])
		}
	}
	if len(models) != 5 || models["crawford_unit"] < 80 {
		t.Errorf("checked %v", models)
	}
}

// Source: maxwideman.com/papers/resource/appendix2.htm: at 80 % by Wright's form, the average of units 1 and 2
// is 80 % of the first, so that unit 2 takes 60 %; the average of the first four is 64 %.
func TestWrightInWords(t *testing.T) {
	c := Curve{Wright, 0.8}
	for name, v := range map[string][2]float64{
		"average of 2": {c.Average(2), 0.8}, "unit 2": {c.Unit(2), 0.6}, "average of 4": {c.Average(4), 0.64}, "total of 4": {c.Total(1, 4), 2.56},
	} {
		if math.Abs(v[0]-v[1]) > 1e-12 {
			t.Errorf("%s: %v, want %v", name, v[0], v[1])
		}
	}
	if b := c.Exponent(); math.Abs(b+0.3219) > 5e-5 { // ln 0.8 / ln 2, as usually printed (from memory)
		t.Errorf("exponent %v", b)
	}
}

func TestNoLearning(t *testing.T) {
	for _, c := range []Curve{{}, {Crawford, 1}, {Wright, 1}} {
		if c.Unit(7) != 1 || c.Total(2, 5) != 4 || c.Average(9) != 1 || c.Factor(3, 8) != 1 {
			t.Errorf("%+v: unit 7 takes %v", c, c.Unit(7))
		}
	}
}

func TestPractisedEstimate(t *testing.T) {
	c := Curve{Crawford, 0.8}
	// An estimate for the 4th repetition at 80 %: the first takes 1/0.64 of it, the second 0.8/0.64.
	rows := c.Table(64, 4, 4)
	if len(rows) != 4 {
		t.Fatalf("%d rows", len(rows))
	}
	for i, want := range []float64{100, 80, 70.21, 64} {
		if r := rows[i]; math.Abs(r.Time-want) > 5e-3 || r.Repetition != i+1 || math.Abs(r.Factor-r.Time/64) > 1e-12 {
			t.Errorf("%+v, want %v", r, want)
		}
	}
	if last := rows[3]; math.Abs(last.Total-314.21) > 0.01 || math.Abs(last.Average-last.Total/4) > 1e-12 { // cumulative factor 3.1421 of the table
		t.Errorf("%+v", last)
	}
}

func TestBadCurves(t *testing.T) {
	for _, rate := range []float64{0, 0.5, -1, 1.01, 80, math.NaN(), math.Inf(1)} {
		if _, err := New(Crawford, rate); err == nil || !strings.Contains(err.Error(), strconv.FormatFloat(rate, 'g', -1, 64)) {
			t.Errorf("rate %v: %v", rate, err)
		}
	}
	if _, err := New("stanford", 0.9); err == nil || !strings.Contains(err.Error(), "crawford or wright") {
		t.Errorf("%v", err)
	}
}

func TestOutOfRange(t *testing.T) {
	for _, c := range []Curve{{Crawford, 0.9}, {Wright, 0.9}} {
		if c.Unit(0) != 1 || c.Unit(-3) != 1 || c.Total(0, 1) != 1 || c.Total(3, 2) != 0 || c.Average(0) != 1 {
			t.Errorf("%s: a repetition below 1 counts as the first", c.Form)
		}
	}
}
