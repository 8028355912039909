package itemanalysis

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Four of eight cups had the milk in first, and who tastes them names four: all right in 1 of 70 ways, three or more in 17.
// Source: R. A. Fisher, The Design of Experiments, 1935, chapter II (from memory).
func TestTeaTasting(t *testing.T) {
	milk := []float64{1, 1, 1, 1, 0, 0, 0, 0}
	for _, tt := range []struct {
		named []int
		want  float64
	}{{[]int{0, 1, 2, 3}, 1.0 / 70}, {[]int{0, 1, 2, 4}, 17.0 / 70}, {[]int{4, 5, 6, 7}, 1}} {
		_, high := association(milk, among(tt.named))
		if math.Abs(high-tt.want) > 1e-12 {
			t.Errorf("%v: %v, want %v", tt.named, high, tt.want)
		}
	}
}

// The rank sum of five of ten is at most 17 by chance in 4 of 252 ways, at most 19 in 12 of 252.
// Source: F. Wilcoxon's rank sum: the partitions are counted by hand; tables give 0.0159 and 0.0476 (M. Hollander and
// D. A. Wolfe, Nonparametric Statistical Methods, table A.6; from memory).
func TestRankSum(t *testing.T) {
	ranks := []float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10}
	for _, tt := range []struct {
		first []int
		want  float64
	}{{[]int{0, 1, 2, 3, 6}, 4.0 / 252}, {[]int{0, 1, 2, 4, 6}, 7.0 / 252}, {[]int{0, 1, 2, 5, 6}, 12.0 / 252}} {
		low, _ := association(ranks, among(tt.first))
		if math.Abs(low-tt.want) > 1e-12 {
			t.Errorf("%v: %v, want %v", tt.first, low, tt.want)
		}
	}
}

func among(list []int) func(int) bool {
	return func(i int) bool {
		for _, x := range list {
			if x == i {
				return true
			}
		}
		return false
	}
}

// All ways are counted one by one.
func TestAssociationCountsAllWays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		values := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) float64 { return float64(rapid.IntRange(-3, 6).Draw(t, "value")) }), 2, 9).Draw(t, "values")
		did := rapid.IntRange(1, 1<<len(values)-2).Draw(t, "did")
		total := func(set int) (n int, sum float64) {
			for i, v := range values {
				if set>>i&1 == 1 {
					n++
					sum += v
				}
			}
			return n, sum
		}
		drawn, sum := total(did)
		var ways, below, above float64
		for set := range 1 << len(values) {
			if n, s := total(set); n == drawn {
				ways++
				if s <= sum {
					below++
				}
				if s >= sum {
					above++
				}
			}
		}
		low, high := association(values, func(i int) bool { return did>>i&1 == 1 })
		if !Known(low) {
			if variance(values, 0) != 0 {
				t.Fatalf("%v of %v: not known", did, values)
			}
			return
		}
		if math.Abs(low-below/ways) > 1e-12 || math.Abs(high-above/ways) > 1e-12 {
			t.Fatalf("%v of %v: %v and %v, want %v and %v", did, values, low, high, below/ways, above/ways)
		}
	})
}

// Where counting would take long, the normal distribution says nearly what counting says.
func TestNearlyExact(t *testing.T) {
	c, _ := simulated(9, 150, 15)
	totals := c.totals()
	for k := range c.Questions {
		rest := minus(totals, c.column(k))
		values, drawn, sum, most := make([]int, len(rest)), 0, 0, 0
		for i, v := range rest {
			values[i] = int(v)
			most = max(most, values[i])
			if c.Answers[i][k].Right {
				drawn++
				sum += values[i]
			}
		}
		exactLow, exactHigh := exactly(values, drawn, sum, most)
		low, high := nearly(values, drawn, sum)
		if math.Abs(low-exactLow) > 0.015 || math.Abs(high-exactHigh) > 0.015 {
			t.Errorf("question %d: %.4f and %.4f, exactly %.4f and %.4f", k, low, high, exactLow, exactHigh)
		}
	}
}
