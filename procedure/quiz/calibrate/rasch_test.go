package calibrate

import (
	"errors"
	"math"
	"testing"

	"matchmark/procedure/published"
	"matchmark/procedure/quiz/itemanalysis"
)

type scale struct {
	Right    []float64
	ByScore  []float64 `json:"by_score"`
	Easiness []float64
	SE       []float64
	LogLik   float64
}

// Source: testdata/reference/31_rasch.json, R 4.2.2 with eRm 1.0-2, which stops within 2e-4 of the maximum.
func TestRasch(t *testing.T) {
	var sets struct{ Simulated, LSAT6, LSAT7 scale }
	published.JSON(t, "31_rasch.json", &sets)
	easiness, se, loglik, err := conditional(sets.Simulated.Right, sets.Simulated.ByScore)
	if err != nil {
		t.Fatal(err)
	}
	same(t, "simulated", sets.Simulated, easiness, se, loglik)
	for section, want := range map[string]scale{"lsat6": sets.LSAT6, "lsat7": sets.LSAT7} {
		s, err := Rasch(lsat(t, section))
		if err != nil {
			t.Fatal(err)
		}
		for i := range s.Difficulty {
			s.Difficulty[i] = -s.Difficulty[i]
		}
		same(t, section, want, s.Difficulty, s.SE, s.LogLikelihood)
	}
}

func same(t *testing.T, name string, want scale, easiness, se []float64, loglik float64) {
	t.Helper()
	for i := range want.Easiness {
		if math.Abs(easiness[i]-want.Easiness[i]) > 2e-4 || math.Abs(se[i]-want.SE[i]) > 5e-4 {
			t.Errorf("%s, question %d: %.5f ± %.5f, want %.5f ± %.5f", name, i+1, easiness[i], se[i], want.Easiness[i], want.SE[i])
		}
	}
	if math.Abs(loglik-want.LogLik) > 2e-4 || len(want.Easiness) < 5 {
		t.Errorf("%s: log-likelihood %.4f, want %.4f", name, loglik, want.LogLik)
	}
}

// lsat expands the answers of 1000 examinees.
func lsat(t *testing.T, section string) itemanalysis.Class {
	names := []string{"Q1", "Q2", "Q3", "Q4", "Q5"}
	c := itemanalysis.Class{Questions: make([]itemanalysis.Question, 5)}
	for _, row := range published.Rows(t, "09_lsat_patterns.csv") {
		for range int(row.Number(t, section+"_count")) {
			var answers []itemanalysis.Answer
			for _, name := range names {
				answers = append(answers, itemanalysis.Answer{Right: row[name] == "1"})
			}
			c.Answers = append(c.Answers, answers)
		}
	}
	return c
}

func class(rows ...string) itemanalysis.Class {
	var c itemanalysis.Class
	for _, row := range rows {
		c.Questions = make([]itemanalysis.Question, len(row))
		var answers []itemanalysis.Answer
		for _, d := range row {
			answers = append(answers, itemanalysis.Answer{Right: d == '1'})
		}
		c.Answers = append(c.Answers, answers)
	}
	return c
}

// Two questions: the difference is the logarithm of the odds among those who have one of them right. By hand: 3 to 1.
// A question that all have right, and then a learner who has all others right, are left out first.
func TestLeftOut(t *testing.T) {
	s, err := Rasch(class("110", "110", "110", "101", "111", "100"))
	if err != nil {
		t.Fatal(err)
	}
	if !math.IsNaN(s.Difficulty[0]) || !math.IsNaN(s.SE[0]) || s.Learners != 4 || math.Abs(s.Difficulty[2]-s.Difficulty[1]-math.Log(3)) > 1e-9 {
		t.Errorf("%+v", s)
	}
}

// Where one question is right only with those who have the other right too, no difference is too great.
func TestApart(t *testing.T) {
	for name, c := range map[string]itemanalysis.Class{
		"a ladder": class("100", "110", "100", "110"), "nothing": {}, "one question": class("1", "0"), "all alike": class("11", "11"),
	} {
		if s, err := Rasch(c); !errors.Is(err, ErrApart) {
			t.Errorf("%s: %v %+v", name, err, s)
		}
	}
}
