package revise

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"matchmark/procedure"
)

// Work of 30 minutes of which 15 in 100 are done twice takes 34.5 minutes on average, and so says the new estimate.
func TestReworkIsATermOfItsOwn(t *testing.T) {
	random := rand.New(rand.NewPCG(21, 21))
	var minutes []float64
	for range 3000 {
		m := 30 * math.Exp(0.08*random.NormFloat64())
		if random.Float64() < 0.15 {
			m += 30 * math.Exp(0.08*random.NormFloat64())
		}
		minutes = append(minutes, m)
	}
	v := revision(t, procedure.Estimate{Optimistic: 20, Likely: 30, Pessimistic: 40}, minutes...)
	expected := (v.New.Optimistic + 4*v.New.Likely + v.New.Pessimistic) / 6
	if len(v.LeftOut) > 0 || math.Abs(v.Rework-0.15) > 0.02 || math.Abs(v.Extra-30) > 0.5 || math.Abs(expected-34.5) > 0.5 || v.New.Likely != 30 {
		t.Errorf("%v, expected %.2f; rework %.3f of %.2f min; left out %d", v.New, expected, v.Rework, v.Extra, len(v.LeftOut))
	}
	if v.Low > mean(minutes) || v.High < mean(minutes) || math.Abs(v.Mean-mean(minutes)) > 0.01 || v.High-v.Low > 1 {
		t.Errorf("mean %.3f, %.3f to %.3f; want %.3f", v.Mean, v.Low, v.High, mean(minutes))
	}
}

// The interval of the mean holds the true one in 95 of 100 cases: 20 records of teams without a pace of their own, and 20 of five
// teams whose times have a correlation of 0.3, where records counted as if apart would hold it far less often.
func TestIntervalsHoldTheMean(t *testing.T) {
	random := rand.New(rand.NewPCG(22, 22))
	const runs = 3000
	for _, correlation := range []float64{0, 0.3} {
		held, naive := 0, 0
		for range runs {
			var times []float64
			var teams []string
			for team := range 5 {
				own := random.NormFloat64()
				for range 4 {
					times = append(times, 30+4*(math.Sqrt(correlation)*own+math.Sqrt(1-correlation)*random.NormFloat64()))
					teams = append(teams, fmt.Sprint(team))
				}
			}
			in := func(correlation float64) bool {
				_, low, high := sample{times: times, weights: weights(teams, correlation)}.interval()
				return low <= 30 && 30 <= high
			}
			if in(correlation) {
				held++
			}
			if in(0) {
				naive++
			}
		}
		if share := float64(held) / runs; share < 0.93 || share > 0.97 {
			t.Errorf("correlation %v: %.3f of the intervals hold the mean", correlation, share)
		}
		if share := float64(naive) / runs; correlation > 0 && share > 0.88 {
			t.Errorf("counted apart, %.3f hold it", share)
		}
	}
	if _, low, _ := plain(8).interval(); low != 0 {
		t.Error("one record has an interval")
	}
}

// Source: the ratings of Shrout and Fleiss, 1979, table 2: six targets by four judges each; ICC(1,1) = 0.17, its F = 1.79 (from memory).
func TestCommonPaceAsPublished(t *testing.T) {
	p := paceOf([][]float64{{9, 2, 5, 8}, {6, 1, 3, 2}, {8, 4, 6, 8}, {7, 1, 2, 6}, {10, 5, 6, 9}, {6, 2, 4, 7}})
	if !p.Known || math.Abs(p.Correlation-0.166) > 0.0005 || p.Low != 0 || math.Abs(p.High-0.72) > 0.005 {
		t.Errorf("%+v", p)
	}
	for _, few := range [][][]float64{nil, {{1, 2}, {2, 3}}, {{1}, {2}, {3}}, {{1, 1}, {2, 2}, {3, 3}}} {
		if p := paceOf(few); p.Known || p.Correlation != UsualCorrelation {
			t.Errorf("%v: %+v", few, p)
		}
	}
}

// Drawn teams give their correlation back.
func TestCommonPaceFromRecords(t *testing.T) {
	random := rand.New(rand.NewPCG(23, 23))
	job := &procedure.Procedure{ID: "job"}
	for step := range 20 {
		job.Steps = append(job.Steps, &procedure.Step{ID: fmt.Sprint("s", step), Time: usual})
	}
	var records []Record
	for team := range 40 {
		own := random.NormFloat64()
		for step := range 20 {
			records = append(records, Record{Step: fmt.Sprint("s", step), Team: fmt.Sprint(team), Minutes: 6 * math.Exp(0.2*(math.Sqrt(0.4)*own+math.Sqrt(0.6)*random.NormFloat64()))})
		}
	}
	p := Times([]*procedure.Procedure{job}, records, Practice{}, Memory{}).Pace
	if !p.Known || math.Abs(p.Correlation-0.4) > 0.1 || p.Low > 0.4 || p.High < 0.4 || p.Teams != 40 {
		t.Errorf("%+v", p)
	}
}

// One team that timed the step nine times does not outvote three that timed it once, and with a correlation of 1 it has one voice.
func TestTeamsHaveTheirVoice(t *testing.T) {
	teams := append(slices.Repeat([]string{"a"}, 9), "b", "c", "d")
	times := append(slices.Repeat([]float64{20}, 9), 10, 10, 10)
	for correlation, want := range map[float64]float64{0: 20, 1: 10} {
		if got := weightedMedian(times, weights(teams, correlation)); got != want {
			t.Errorf("correlation %v: %v, want %v", correlation, got, want)
		}
	}
	if got := (sample{times: times, weights: weights(teams, 0.3)}).size(); math.Abs(got-(9/3.4+3)) > 1e-9 {
		t.Errorf("as good as %v", got)
	}
}

// The same records count once, however often and in whatever parts they are read; another estimate of the author's begins anew.
func TestRecordsCountOnce(t *testing.T) {
	records := timesOf(8, 9, 9, 12)
	Name("times.csv", records)
	if records[1].ID == records[2].ID {
		t.Error("two records that say the same have one name")
	}
	all := Times(one(placed(usual)), records, Practice{}, Memory{}).Revisions[0]

	first := Times(one(placed(usual)), records[:2], Practice{}, Memory{})
	now := one(first.Revisions[0].New)
	second := Times(now, records, Practice{}, first.Memory)
	if v := second.Revisions[0]; v.New.Likely != all.New.Likely || v.New.Pessimistic != all.New.Pessimistic || v.Before != 2 || v.Records != 4 {
		t.Errorf("in two runs %+v, in one %+v", v, all)
	}
	now = one(second.Revisions[0].New)
	for range 3 {
		third := Times(now, records, Practice{}, second.Memory)
		if v := third.Revisions[0]; v.Changed || v.Before != 4 {
			t.Errorf("the same records again: %+v", v)
		}
	}
	written, err := second.Memory.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	read, err := ReadMemory(written)
	if again, _ := read.Bytes(); err != nil || string(again) != string(written) {
		t.Errorf("%v: %s", err, again)
	}
	// The author says 20/30/40 now: what he knew does not count against it, one more record does.
	more := append(slices.Clone(records), Record{Step: "a", Minutes: 45, ID: "x"})
	v := Times(one(placed(procedure.Estimate{Optimistic: 20, Likely: 30, Pessimistic: 40})), more, Practice{}, read).Revisions[0]
	if v.Records != 1 || v.Before != 4 || v.Used != 1 || v.New.Likely != math.Round(30*math.Pow(1.5, 1.0/6)) {
		t.Errorf("%+v", v)
	}
	for _, bad := range []string{"{", `{"format":"x"}`, `{"format":"matchmark revised times 1","steps":[{"author":"soon"}]}`, `{"other":1}`} {
		if _, err := ReadMemory([]byte(bad)); err == nil {
			t.Errorf("%s is read", bad)
		}
	}
}
