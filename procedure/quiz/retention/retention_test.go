package retention

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// Source: the intervals of SM-2 for answers of grade 4: 1, 6, 15, 38, 95, 238 days (worked out from the rule as
// published in 1990, each rounded up; a published table has 1, 6, 15, 38 and, unrounded, 94).
func TestInterval(t *testing.T) {
	for held, want := range []int{1, 6, 15, 38, 95, 238} {
		if got := Interval(held); got != want {
			t.Errorf("after %d: %d days, want %d", held, got, want)
		}
	}
}

// answers are a question, a day and + or -.
func answers(list ...string) []Answer {
	var out []Answer
	for _, s := range list {
		var a Answer
		var sign string
		fmt.Sscanf(s, "%s %d %s", &a.Question, &a.On, &sign)
		a.Right = sign == "+"
		out = append(out, a)
	}
	return out
}

func TestPlan(t *testing.T) {
	for name, tt := range map[string]struct {
		given []string
		want  string
	}{
		"never missed":                     {[]string{"q 0 +", "q 9 +"}, "[]"},
		"missed":                           {[]string{"q 10 -"}, "[{q 11 10 0}]"},
		"right too early proves nothing":   {[]string{"q 10 -", "q 10 +"}, "[{q 11 10 0}]"},
		"right in time":                    {[]string{"q 10 -", "q 11 +"}, "[{q 17 10 1}]"},
		"right late counts from then":      {[]string{"q 10 -", "q 20 +", "q 25 +", "q 26 +"}, "[{q 41 10 2}]"},
		"a miss begins anew":               {[]string{"q 10 -", "q 11 +", "q 17 +", "q 32 -", "q 33 +"}, "[{q 39 32 1}]"},
		"the earliest first, in any order": {[]string{"b 9 -", "c 3 +", "a 9 -", "c 4 -"}, "[{c 5 4 0} {a 10 9 0} {b 10 9 0}]"},
		"a wrong one of that day decides":  {[]string{"q 10 -", "q 12 +", "q 12 -"}, "[{q 13 12 0}]"},
	} {
		if got := planned(Plan(answers(tt.given...))); got != tt.want {
			t.Errorf("%s: %s, want %s", name, got, tt.want)
		}
	}
}

func planned(plan []Due) string {
	out := []string{}
	for _, d := range plan {
		out = append(out, fmt.Sprintf("{%s %d %d %d}", d.Question, int(d.On), int(d.Missed), d.Held))
	}
	return fmt.Sprint(out)
}

// What was missed is always due: after the day on which it was missed, and never in longer than the interval of what was held.
func TestPlanHoldsAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var all []Answer
		missed := map[string]bool{}
		for range rapid.IntRange(0, 30).Draw(t, "answers") {
			a := Answer{rapid.SampledFrom([]string{"a", "b", "c"}).Draw(t, "question"), Day(rapid.IntRange(0, 400).Draw(t, "day")), rapid.Bool().Draw(t, "right")}
			all = append(all, a)
			missed[a.Question] = missed[a.Question] || !a.Right
		}
		plan := Plan(all)
		for _, d := range plan {
			if !missed[d.Question] || d.On <= d.Missed || int(d.On-d.Missed) < Interval(d.Held) {
				t.Fatalf("%+v", d)
			}
			delete(missed, d.Question)
		}
		for q, was := range missed {
			if was {
				t.Fatalf("%s was missed and is never due", q)
			}
		}
	})
}

func TestForgetting(t *testing.T) {
	got := Forgetting(answers("a 0 +", "a 0 +", "a 29 +", "a 119 -", "a 120 +", "a 500 -", "b 0 -", "b 90 +", "b 180 +", "b 269 -"))
	if want := []Kept{{1, 0}, {0, 0}, {1, 1}, {0, 0}, {1, 1}}; !slices.Equal(got["a"], want) {
		t.Errorf("a: %v, want %v", got["a"], want)
	}
	if want := []Kept{{0, 0}, {1, 1}, {1, 0}, {0, 0}, {0, 0}}; !slices.Equal(got["b"], want) {
		t.Errorf("b: %v, want %v", got["b"], want)
	}
}

// Calendar months, by hand; the end of a short month runs over, as days past it do in a calendar.
func TestDays(t *testing.T) {
	d := DayOf(time.Date(2026, 3, 2, 23, 59, 0, 0, time.UTC))
	if d.String() != "2026-03-02" || d.Months(12).String() != "2027-03-02" || Day(0).String() != "1970-01-01" || (d-2).Months(12).String() != "2027-02-28" {
		t.Errorf("%s %s", d, d.Months(12))
	}
}
