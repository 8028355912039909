package schedule

import (
	"math"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/published"
	"pgregory.net/rapid"
)

func byActivity(t *testing.T, file string) map[string]published.Row {
	out := map[string]published.Row{}
	for _, row := range published.Rows(t, file) {
		out[row["activity"]] = row
	}
	return out
}

func estimate(t *testing.T, row published.Row) procedure.Estimate {
	return procedure.Estimate{Optimistic: row.Number(t, "a"), Likely: row.Number(t, "m"), Pessimistic: row.Number(t, "b")}
}

func sumOf(t *testing.T, rows map[string]published.Row, job *procedure.Job, column string) (sum float64) {
	for _, s := range job.Steps {
		sum += rows[s.ID].Number(t, column)
	}
	return sum
}

func near(a, b, tolerance float64) bool { return math.Abs(a-b) <= tolerance }

// Source: worked example of 14 activities, wizedu.com/questions/717873 (inputs, te and sd as published).
func TestPublishedNetwork(t *testing.T) {
	rows := byActivity(t, "02_pert_network.csv")
	if len(rows) != 14 {
		t.Fatalf("%d activities", len(rows))
	}
	for name, r := range rows {
		if got := Expected(estimate(t, rows[name])); !near(got, r.Number(t, "te"), 5e-5) {
			t.Errorf("%s: te %.4f, want %s", name, got, r["te"])
		}
		if got := Deviation(estimate(t, rows[name])); !near(got*got, r.Number(t, "var"), 5e-5) {
			t.Errorf("%s: variance %.4f, want %s", name, got*got, r["var"])
		}
	}

	// The critical path done one after the other is a job. Its total and
	// deviation were computed in R 4.2.2 from the published inputs.
	job := &procedure.Job{}
	for _, name := range []string{"A", "C", "E", "H", "I", "K", "M", "N"} {
		job.Steps = append(job.Steps, &procedure.Step{ID: name, Time: estimate(t, rows[name]), People: 2})
	}
	table := Clock(job)
	// Sums of the published a and b of these activities.
	if !near(table.Total.Optimistic, sumOf(t, rows, job, "a"), 1e-9) || !near(table.Total.Pessimistic, sumOf(t, rows, job, "b"), 1e-9) {
		t.Errorf("from %v to %v", table.Total.Optimistic, table.Total.Pessimistic)
	}
	if !near(table.Total.Expected, 50.8333, 5e-5) || !near(table.Deviation, 3.3458, 5e-5) || !near(table.PersonMinutes, 2*50.8333, 1e-4) {
		t.Errorf("total %.4f, deviation %.4f, person-minutes %.4f", table.Total.Expected, table.Deviation, table.PersonMinutes)
	}
	// Earliest start and finish of the critical activities (A to F published, the rest computed in R).
	for _, row := range table.Rows {
		r := rows[row.Step.ID]
		if !near(row.Start.Expected, r.Number(t, "ES"), 6e-4) || !near(row.End.Expected, r.Number(t, "EF"), 6e-4) {
			t.Errorf("%s: %.3f to %.3f, want %s to %s", row.Step.ID, row.Start.Expected, row.End.Expected, r["ES"], r["EF"])
		}
	}
}

// Source: banquet problem of 8 activities, tutorsglobe.com (inputs as published; expected times computed with Python 3).
func TestSecondNetwork(t *testing.T) {
	want := map[string]float64{"A": 3.1667, "B": 5.8333, "C": 4, "D": 3.1667, "E": 2, "F": 7.3333, "G": 7.8333, "H": 5.8333}
	rows := byActivity(t, "02_pert_more_inputs.csv")
	if len(rows) != len(want) {
		t.Fatalf("%d activities", len(rows))
	}
	job := &procedure.Job{}
	for _, name := range []string{"A", "B", "C", "D", "E", "F", "G", "H"} {
		e := estimate(t, rows[name])
		if got := Expected(e); !near(got, want[name], 5e-5) {
			t.Errorf("%s: te %.4f, want %.4f", name, got, want[name])
		}
		switch name {
		case "B", "C", "D", "F", "H": // the critical path: T 26.1667, variance 1.8611
			job.Steps = append(job.Steps, &procedure.Step{ID: name, Time: e})
		}
	}
	table := Clock(job)
	if !near(table.Total.Expected, 26.1667, 5e-5) || !near(table.Deviation*table.Deviation, 1.8611, 5e-5) {
		t.Errorf("total %.4f, variance %.4f", table.Total.Expected, table.Deviation*table.Deviation)
	}
	if table.PersonMinutes != table.Total.Expected {
		t.Errorf("steps without a number of people: %v person-minutes in %v minutes", table.PersonMinutes, table.Total.Expected)
	}
}

func TestClockOfNothing(t *testing.T) {
	if table := Clock(&procedure.Job{}); len(table.Rows) != 0 || table.Total != (Reading{}) || table.Deviation != 0 {
		t.Errorf("%+v", table)
	}
}

func TestClockRunsForward(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		job := &procedure.Job{}
		for range rapid.IntRange(1, 30).Draw(t, "steps") {
			a := rapid.IntRange(0, 60).Draw(t, "a")
			m := rapid.IntRange(a, 90).Draw(t, "m")
			b := rapid.IntRange(m, 120).Draw(t, "b")
			job.Steps = append(job.Steps, &procedure.Step{People: 1, Time: procedure.Estimate{Optimistic: float64(a), Likely: float64(m), Pessimistic: float64(b)}})
		}
		table := Clock(job)
		last := Reading{}
		for i, row := range table.Rows {
			if row.Start != last || row.End.Optimistic > row.End.Expected+nearHalf || row.End.Expected > row.End.Pessimistic+nearHalf || row.End.Expected < row.Start.Expected {
				t.Fatalf("step %d: %+v after %+v", i, row, last)
			}
			last = row.End
		}
		if last != table.Total || table.Deviation > (table.Total.Pessimistic-table.Total.Optimistic)/6+nearHalf {
			t.Fatalf("total %+v, deviation %v", table.Total, table.Deviation)
		}
	})
}

func TestDuration(t *testing.T) {
	for _, c := range []struct {
		minutes float64
		want    string
	}{
		{84, "1 h 24 min"}, {60, "1 h"}, {59.5, "1 h"}, {59.4, "59 min"}, {6, "6 min"}, {0, "0 min"}, {0.5, "30 s"},
		{0.999, "1 min"}, {1.4, "1 min"}, {1499.5, "25 h"}, {-6, "-6 min"}, {math.NaN(), ""}, {math.Inf(1), ""},
		{0.1 + 0.2 + 2.2, "3 min"}, {19.0/6 + 32.0/6, "9 min"},
		{1.0 / 60, "1 s"}, {0.5 / 60, "1 s"}, {0.49 / 60, "0 min"}, {59.4 / 60, "59 s"}, {59.5 / 60, "1 min"}, {1, "1 min"}, {1.5, "2 min"}, {61, "1 h 1 min"}, {121, "2 h 1 min"},
		{1e9, "16666666 h 40 min"}, {1.1e9, ""}, {-1.1e9, ""}, {-0.5, "-30 s"},
	} {
		if got := Duration(c.minutes); got != c.want {
			t.Errorf("%v: %q, want %q", c.minutes, got, c.want)
		}
	}
}

func TestClockTime(t *testing.T) {
	for minutes, want := range map[int]string{0: "0:00", 9: "0:09", 10: "0:10", 11: "0:11", 25: "0:25", 59: "0:59", 60: "1:00", 125: "2:05", 600: "10:00"} {
		if got := ClockTime(minutes); got != want {
			t.Errorf("%d: %q, want %q", minutes, got, want)
		}
	}
}

func TestFormat(t *testing.T) {
	for _, c := range []struct {
		a, m, b float64
		want    string
	}{{4, 6.5, 10, "4/6.5/10"}, {5, 5, 5, "5"}, {5, 5, 6, "5/5/6"}, {4, 5, 5, "4/5/5"}, {0.25, 0.25, 0.25, "0.25"}} {
		if got := Format(procedure.Estimate{Optimistic: c.a, Likely: c.m, Pessimistic: c.b}); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}
