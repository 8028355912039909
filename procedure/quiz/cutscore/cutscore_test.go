package cutscore

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"matchmark/procedure"
	"matchmark/procedure/published"
	"matchmark/procedure/quiz"
)

func of(points ...int) *procedure.Quiz {
	q := &procedure.Quiz{}
	for _, p := range points {
		q.Questions = append(q.Questions, &procedure.Question{Points: p})
	}
	return q
}

// Source: testdata/reference/30_angoff.json, computed with R 4.2.2 from made-up ratings of five judges.
func TestOf(t *testing.T) {
	var known struct {
		Ratings  [][]float64
		Expected struct {
			Sums  []float64 `json:"judge_sums"`
			Means []float64 `json:"item_means"`
			Cut   float64   `json:"cut_raw"`
			SD    float64   `json:"sd_of_sums"`
			SE    float64
			CI    [2]float64 `json:"ci95"`
		}
	}
	published.JSON(t, "30_angoff.json", &known)
	var judges []Judge
	for _, r := range known.Ratings {
		judges = append(judges, Judge{Shares: r})
	}
	s, want := Compute(of(1, 1, 1, 1, 1, 1, 1, 1), judges), known.Expected
	for i, sum := range want.Sums {
		if math.Abs(s.Judges[i].Sum-sum) > 1e-9 {
			t.Errorf("judge %d: %v, want %v", i, s.Judges[i].Sum, sum)
		}
	}
	for i, m := range want.Means {
		if math.Abs(s.Questions[i].Mean-m) > 1e-9 {
			t.Errorf("question %d: %v, want %v", i, s.Questions[i].Mean, m)
		}
	}
	for name, pair := range map[string][2]float64{"cut": {s.Cut, want.Cut}, "SD": {s.SD, want.SD}, "SE": {s.SE, want.SE}, "low": {s.Low, want.CI[0]}, "high": {s.High, want.CI[1]}} {
		if math.Abs(pair[0]-pair[1]) > 1e-6 {
			t.Errorf("%s: %v, want %v", name, pair[0], pair[1])
		}
	}
	// 5.43 of 8: six points, since five are below the cut; 75 % asks for six.
	if s.Points != 6 || s.Pass != 75 || s.Of != 8 {
		t.Errorf("%d points of %d, %d %%", s.Points, s.Of, s.Pass)
	}
}

// One judge has no spread; judges who agree have none; points weigh. By hand.
func TestEdges(t *testing.T) {
	if s := Compute(of(1, 3), []Judge{{Shares: []float64{0.5, 0.5}}}); s.Cut != 2 || s.Points != 2 || s.Pass != 50 || !math.IsNaN(s.SE) || !math.IsNaN(s.Questions[0].SD) {
		t.Errorf("%+v", s)
	}
	var judges []Judge
	for range 5 {
		judges = append(judges, Judge{Shares: []float64{.8, .8, .8, .8, .8, .8, .8, .8, .8, .8}})
	}
	if s := Compute(of(1, 1, 1, 1, 1, 1, 1, 1, 1, 1), judges); math.Abs(s.Cut-8) > 1e-9 || s.SE > 1e-9 || s.Points != 8 || s.Pass != 80 {
		t.Errorf("%+v", s)
	}
}

// The proposed pass mark never asks for fewer points than the cut, and for no more than it has to.
func TestPassMark(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := of(rapid.SliceOfN(rapid.IntRange(1, 20), 1, 40).Draw(t, "points")...)
		var shares []float64
		for range q.Questions {
			shares = append(shares, float64(rapid.IntRange(0, 100).Draw(t, "share"))/100)
		}
		s := Compute(q, []Judge{{Shares: shares}})
		q.Pass = s.Pass
		if asked := quiz.PointsToPass(q); float64(asked) < s.Cut-1e-9 || s.Of <= 100 && asked != s.Points {
			t.Fatalf("cut %v of %d: %d %% asks for %d points", s.Cut, s.Of, s.Pass, asked)
		}
	})
}
