package learning

import (
	"math"
	"math/rand/v2"
	"testing"

	"matchmark/procedure/published"
)

// Source: a university lesson after Nahmias, Production and Operations Analysis, and a paper mill's hours (Baloff, 1966); fits by R's lm.
func TestPublishedFits(t *testing.T) {
	var file struct {
		Cases []struct {
			Name   string `json:"name"`
			Inputs struct {
				N []int     `json:"n"`
				T []float64 `json:"t"`
			} `json:"inputs"`
			Expected struct {
				B    float64 `json:"b"`
				SE   float64 `json:"se_b"`
				Rate float64 `json:"rate"`
			} `json:"expected"`
		} `json:"cases"`
	}
	published.JSON(t, "33_learning_rate_fit.json", &file)
	checks := 0
	for _, c := range file.Cases {
		if len(c.Inputs.T) == 0 || c.Expected.Rate == 0 {
			continue
		}
		var g []Timed
		for i, n := range c.Inputs.N {
			g = append(g, Timed{n, c.Inputs.T[i]})
		}
		f := Fit([][]Timed{g})
		if !f.Known || math.Abs(f.Rate-c.Expected.Rate) > 1e-6 || f.Times != len(g) {
			t.Errorf("%s: %+v, want %v", c.Name, f, c.Expected.Rate)
		}
		// Six degrees of freedom: 2.446912 standard errors by a table of Student's t.
		if half := 2.446912 * c.Expected.SE; c.Expected.SE > 0 && (math.Abs(f.Low-math.Exp2(c.Expected.B-half)) > 1e-5 || math.Abs(f.High-math.Exp2(c.Expected.B+half)) > 1e-5) {
			t.Errorf("%s: %.6f to %.6f", c.Name, f.Low, f.High)
		}
		checks++
	}
	if checks != 2 {
		t.Errorf("%d checks", checks)
	}
}

// Twelve pairs do a job three times, each at its own speed and with a rate of 0.85: the interval holds it in 95 of 100 classes.
func TestFitOfClasses(t *testing.T) {
	random := rand.New(rand.NewPCG(31, 31))
	const runs = 2000
	held := 0
	for range runs {
		var groups [][]Timed
		for range 12 {
			first := 60 * math.Exp(0.3*random.NormFloat64())
			var g []Timed
			for n := 1; n <= 3; n++ {
				g = append(g, Timed{n, first * math.Pow(float64(n), math.Log2(0.85)) * math.Exp(0.1*random.NormFloat64())})
			}
			groups = append(groups, g)
		}
		if f := Fit(groups); f.Low <= 0.85 && 0.85 <= f.High {
			held++
		}
	}
	if share := float64(held) / runs; share < 0.935 || share > 0.965 {
		t.Errorf("%.3f of the intervals hold the rate", share)
	}
	// Slower with practice is told as it is; nothing is said of one time each, of two alone, of one repetition.
	if f := Fit([][]Timed{{{1, 10}, {2, 11}, {4, 12.5}}}); !f.Known || f.Rate < 1.05 {
		t.Errorf("%+v", f)
	}
	for _, few := range [][][]Timed{nil, {{{1, 10}}, {{2, 8}}}, {{{1, 10}, {2, 8}}}, {{{2, 10}, {2, 8}, {2, 9}}}} {
		if f := Fit(few); f.Known {
			t.Errorf("%v: %+v", few, f)
		}
	}
}
