package board

import (
	"strconv"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/record"
)

// Time worked counts against the plan until the end of the step in hand, a break does not, nor does the other way.
func TestLate(t *testing.T) {
	p := plans()
	plan := p.Of("fan-out", "")
	plan.Ways[record.Removal].Steps[0].Time = procedure.Estimate{Optimistic: 10, Likely: 10, Pessimistic: 10}
	plan.ends[record.Removal] = ends(plan.Ways[record.Removal])
	const minute = 60_000
	spell := func(way, step string, from, to int64) map[string]record.Interval {
		return map[string]record.Interval{way + "/" + step + "@" + aTablet + "@" + strconv.FormatInt(from, 10): {From: from, To: to}}
	}
	for name, test := range map[string]struct {
		work map[string]record.Interval
		step string
		want int
	}{
		"in time":          {spell("out", "fan-off", 1, 1+9*minute), "fan-off", 0},
		"late":             {spell("out", "fan-off", 1, 1+25*minute), "fan-off", 15},
		"on the other way": {spell("back", "fan-on", 1, 1+25*minute), "fan-off", 0},
		"unknown step":     {spell("out", "fan-off", 1, 1+25*minute), "gone", 0},
	} {
		if got := plan.late(&record.Record{Work: test.work}, record.Removal, test.step); got != test.want {
			t.Errorf("%s: %d minutes late, want %d", name, got, test.want)
		}
	}
}
