package fastening

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure"
)

// TestCrosswise holds sequences against what published ones have in common, not against one of them: makers differ.
//
// Source of the rule (opposite pair first, then the pair that halves the angle): flange makers' guides and US Army
// TM 5-3805-291-23-2, by public copies. That every piece comes once a pass is common practice, no source.
func TestCrosswise(t *testing.T) {
	for n := 1; n <= 64; n++ {
		got := Sequence(procedure.Crosswise, n)
		all := slices.Sorted(slices.Values(got))
		assert.DeepEqual(t, all, Sequence(procedure.InTurn, n))
		if n%2 == 1 {
			continue
		}
		for i := 0; i < n; i += 2 {
			assert.Equal(t, got[i+1]-got[i], n/2, "%d pieces: %v", n, got)
		}
		if n%4 == 0 {
			assert.Equal(t, (got[2]-got[0]+n)%(n/2), n/4, "%d pieces: the second pair halves the angle: %v", n, got)
		}
	}
	assert.Equal(t, len(Sequence("", 4)), 0)
}

// TestPublishedSequences are sequences that this rule gives and that stand in print so.
//
// Source: 12 by a workshop page; 4, 8 and 16 worked out from the rule; 5 is the usual star of wheel nuts (from memory).
func TestPublishedSequences(t *testing.T) {
	for _, want := range [][]int{
		{1, 3, 2, 4},
		{1, 3, 5, 2, 4},
		{1, 5, 3, 7, 2, 6, 4, 8},
		{1, 7, 4, 10, 2, 8, 5, 11, 3, 9, 6, 12},
		{1, 9, 5, 13, 3, 11, 7, 15, 2, 10, 6, 14, 4, 12, 8, 16},
	} {
		assert.DeepEqual(t, Sequence(procedure.Crosswise, len(want)), want)
	}
}

// TestOutwards: every next piece lies at least as far from the middle as the one before, and on its other side.
//
// Source of the row of nine: US Army TM 5-3805-298-23-2 WP 0176, by a public copy.
func TestOutwards(t *testing.T) {
	assert.DeepEqual(t, Sequence(procedure.Outwards, 9), []int{5, 6, 4, 7, 3, 8, 2, 9, 1})
	for n := 2; n <= 40; n++ {
		got := Sequence(procedure.Outwards, n)
		assert.DeepEqual(t, slices.Sorted(slices.Values(got)), Sequence(procedure.InTurn, n))
		middle := float64(n+1) / 2
		for i := 1; i < n; i++ {
			here, before := float64(got[i])-middle, float64(got[i-1])-middle
			assert.Assert(t, math.Abs(here) >= math.Abs(before), "%d pieces: %v", n, got)
			assert.Assert(t, here*before <= 0, "%d pieces: %v", n, got)
		}
	}
}

// TestOrderOfPlaces holds the numbers of places against the same rules, for circles that are turned by any angle and
// listed in any order, and for a row.
func TestOrderOfPlaces(t *testing.T) {
	for _, n := range []int{4, 6, 8, 12} {
		for _, turned := range []float64{0, 0.1, 1, 3} {
			places := make([]procedure.Point, n)
			for i := range places {
				at := turned + 2*math.Pi*float64((i*(n-1))%n)/float64(n) // listed the other way round
				places[i] = procedure.Point{X: 300 + 100*math.Sin(at), Y: 200 - 100*math.Cos(at)}
			}
			numbers := Order(procedure.Crosswise, places)
			by := make([]procedure.Point, n)
			for i, number := range numbers {
				by[number-1] = places[i]
			}
			for i := 0; i < n; i += 2 {
				across := math.Hypot(by[i].X-by[i+1].X, by[i].Y-by[i+1].Y)
				assert.Assert(t, math.Abs(across-200) < 1e-6, "%d places, turned by %v: %v", n, turned, numbers)
			}
		}
	}
	row := []procedure.Point{{X: 10}, {X: 20}, {X: 30}, {X: 40}, {X: 50}}
	numbers := Order(procedure.Outwards, row)
	assert.Equal(t, numbers[2], 1, fmt.Sprint(numbers))
	assert.Equal(t, numbers[0]+numbers[4], 9, fmt.Sprint(numbers))
	assert.Equal(t, len(Order("", row)), 0)
}
