package record

import (
	"fmt"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestTimesAreUnions(t *testing.T) {
	r := &Record{Work: map[string]Interval{}}
	put := func(at, tablet string, from, to int64) {
		r.Work[fmt.Sprintf("%s@%s@%d", at, tablet, from)] = Interval{from, to}
	}
	put("out/a", tabletA, 1000, 5000) // two tablets on one step, overlapping
	put("out/a", tabletB, 3000, 7000)
	put("out/a", tabletA, 7000, 8000) // touching
	put("out/a", tabletA, 20000, 21000)
	put("back/a", tabletA, 1000, 2000) // the other way
	put("out/b", tabletA, 1000, 1000)  // nothing
	r.Work["nonsense"] = Interval{1, 2}
	got := r.Times()
	want := map[string]StepTime{
		"out/a":  {Worked: 8 * time.Second, Spells: 2, Begun: 1000, Ended: 21000},
		"back/a": {Worked: time.Second, Spells: 1, Begun: 1000, Ended: 2000},
	}
	if len(got) != len(want) {
		t.Errorf("%v", got)
	}
	for at, w := range want {
		if got[at] != w {
			t.Errorf("%s: %+v, want %+v", at, got[at], w)
		}
	}
	if p := got["out/a"].Paused(); p != 12*time.Second {
		t.Errorf("paused for %v, want 12 s", p)
	}
}

func TestTimesAgainstCounting(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var list []Interval
		covered := map[int64]bool{} // each millisecond by itself
		for range rapid.IntRange(1, 8).Draw(t, "n") {
			from := rapid.Int64Range(0, 40).Draw(t, "from")
			to := from + rapid.Int64Range(1, 12).Draw(t, "long")
			list = append(list, Interval{from, to})
			for ms := from; ms < to; ms++ {
				covered[ms] = true
			}
		}
		if got := together(list).Worked; got != time.Duration(len(covered))*time.Millisecond {
			t.Fatalf("%v cover %v, counted %d ms", list, got, len(covered))
		}
	})
}
