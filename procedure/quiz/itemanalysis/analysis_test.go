package itemanalysis

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/quiz"
)

// class makes a class from rows such as "1101", one question of one point a digit.
func class(rows ...string) Class {
	var c Class
	for range rows[0] {
		c.Questions = append(c.Questions, Question{ID: string(rune('a' + len(c.Questions))), Points: 1})
	}
	for _, row := range rows {
		var answers []Answer
		for _, digit := range row {
			answers = append(answers, Answer{Right: digit == '1'})
		}
		c.Answers = append(c.Answers, answers)
	}
	return c
}

func repeat(times int, rows ...string) []string { return slices.Repeat(rows, times) }

// Source: R. G. Newcombe, Statistics in Medicine 17 (1998), table I, method 3 (from memory). Each
// limit must also solve Wilson's equation (p - L)² = z² L(1 - L) / n.
func TestWilson(t *testing.T) {
	for _, tt := range []struct {
		some, n   int
		low, high float64
	}{
		{81, 263, 0.2553, 0.3662}, {15, 148, 0.0624, 0.1605}, {0, 20, 0, 0.1611}, {1, 29, 0.0061, 0.1718},
		{20, 20, 0.8389, 1}, {0, 0, 0, 1},
	} {
		low, high := Wilson(tt.some, tt.n)
		if math.Abs(low-tt.low) > 6e-5 || math.Abs(high-tt.high) > 6e-5 {
			t.Errorf("%d of %d: %.5f to %.5f, want %.4f to %.4f", tt.some, tt.n, low, high, tt.low, tt.high)
		}
		for _, limit := range []float64{low, high} {
			off := float64(tt.some)/float64(tt.n) - limit
			if tt.n > 0 && math.Abs(off*off-1.959964*1.959964*limit*(1-limit)/float64(tt.n)) > 1e-6 {
				t.Errorf("%d of %d: %v does not solve the equation", tt.some, tt.n, limit)
			}
		}
	}
}

// Ten learners with scores 0 to 2: each group holds 2.7. Upper: one with 2, and
// the five with 1 by 1.7/5 each. Lower: the four with 0 by 2.7/4 each. By hand.
func TestTies(t *testing.T) {
	upper, lower, size := groups([]float64{1, 0, 1, 0, 2, 1, 0, 1, 0, 1})
	if math.Abs(size-2.7) > 1e-12 || math.Abs(sum(upper)-2.7) > 1e-12 || math.Abs(sum(lower)-2.7) > 1e-12 {
		t.Fatalf("size %v, upper %v, lower %v", size, upper, lower)
	}
	if upper[4] != 1 || math.Abs(upper[0]-0.34) > 1e-12 || upper[1] != 0 || math.Abs(lower[1]-0.675) > 1e-12 || lower[0] != 0 {
		t.Errorf("upper %v, lower %v", upper, lower)
	}
}

// The order of learners changes nothing.
func TestOrderOfLearners(t *testing.T) {
	c, _ := simulated(3, 30, 8)
	before := Analyse(c)
	rand.New(rand.NewPCG(1, 1)).Shuffle(len(c.Answers), func(i, j int) { c.Answers[i], c.Answers[j] = c.Answers[j], c.Answers[i] })
	after := Analyse(c)
	for k := range before.Items {
		if x, y := before.Items[k], after.Items[k]; math.Abs(x.Discrimination-y.Discrimination) > 1e-12 || math.Abs(x.Corrected-y.Corrected) > 1e-12 || x.Verdict != y.Verdict {
			t.Errorf("%s: %+v and %+v", x.ID, x, y)
		}
	}
}

func TestVerdicts(t *testing.T) {
	ladder := repeat(3, "00000", "10000", "11000", "11100", "11110", "11111")
	tests := []struct {
		name     string
		class    Class
		question int
		want     Verdict
	}{
		{"strong have it, weak do not", class(ladder...), 1, Good},
		{"most may miss it, or half", class(ladder...), 3, Good},
		{"most miss it", class(ladder...), 4, Hard},
		{"all have it", class(repeat(6, "111", "110")...), 0, EverybodyRight},
		{"nobody has it", class(repeat(6, "011", "001")...), 0, NobodyRight},
		{"the weak have it", class(repeat(4, "0111", "0111", "1000", "1000")...), 0, CheckKey},
		{"twelve cannot say that it is the same to all", class(repeat(3, "1111", "0111", "1000", "0000")...), 0, TooFew},
		{"two hundred can", class(repeat(50, "1111", "0111", "1000", "0000")...), 0, Unclear},
		{"a thousand can say that it tells a little", class(slices.Concat(repeat(270, "1111", "0000"), repeat(230, "0111", "1000"))...), 0, Weak},
		{"a few miss it", class(append(repeat(6, "110", "101"), "011")...), 0, Good},
		{"nine learners", class("11", "10", "01", "00", "11", "10", "01", "00", "11"), 0, TooFew},
		{"nine learners and nobody", class("01", "01", "01", "00", "01", "00", "01", "00", "01"), 0, NobodyRight},
		{"nine learners and everybody", class("11", "11", "11", "10", "11", "10", "11", "10", "11"), 0, EverybodyRight},
		{"one learner", class("10"), 0, EverybodyRight},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if it := Analyse(tt.class).Items[tt.question]; it.Verdict != tt.want {
				t.Errorf("verdict %s, want %s: %+v", it.Verdict, tt.want, it)
			}
		})
	}
}

// A hard question that the strongest alone have right is no question of its key,
// even when most of the upper group are drawn to one wrong answer.
func TestHardIsNotDoubted(t *testing.T) {
	c := class(repeat(5, "00000", "10000", "11000", "11100", "11110", "11111")...)
	for _, row := range c.Answers {
		row[4].Options = []Option{"7 L"}
		if row[4].Right {
			row[4].Options = []Option{"3.6 L"}
		}
	}
	if it := Analyse(c).Items[4]; it.Verdict != Hard || it.Tempting != "" || it.Options[0].Count != 25 || !it.Options[1].Key {
		t.Errorf("%+v", it)
	}
}

// Statistics that there are not are NaN, and nothing panics.
func TestNothingToWorkOut(t *testing.T) {
	for name, c := range map[string]Class{
		"no class": {}, "no learners": {Questions: []Question{{ID: "a", Points: 2}}},
		"one learner": class("1"), "one question": class("1", "0", "1"), "all alike": class("10", "10", "10"),
	} {
		a := Analyse(c)
		if Known(a.Alpha) || Known(a.KR20) || Known(a.KR21) || Known(a.SEM) || a.Near([]int{0, 1, 2}, 1) != 0 {
			t.Errorf("%s: %+v", name, a)
		}
		if len(a.Scores) != a.Most+1 {
			t.Errorf("%s: %d scores for %d points", name, len(a.Scores), a.Most)
		}
	}
}

// Four learners, two questions of 1 and 3 points, by hand: scores 4, 3, 1, 0;
// mean 2, variance 2.5; sᵢ² = 0.25 and 2.25, so α = 2·(1 - 2.5/2.5) = 0.
// Numbers right are 2, 1, 1, 0: variance 0.5, so KR-20 = 2·(1 - 0.5/0.5) = 0.
func TestPoints(t *testing.T) {
	c := class("11", "01", "10", "00")
	c.Questions[1].Points = 3
	a := Analyse(c)
	if a.Most != 4 || a.Mean != 2 || math.Abs(a.Alpha) > 1e-12 || math.Abs(a.KR20) > 1e-12 || !slices.Equal(a.Scores, []int{1, 1, 0, 1, 1}) {
		t.Errorf("%+v", a)
	}
	if want := math.Sqrt(10.0 / 3); math.Abs(a.SEM-want) > 1e-12 || a.Near([]int{4, 3, 1, 0}, 2) != 2 {
		t.Errorf("SEM %v, want %v; near %d", a.SEM, want, a.Near([]int{4, 3, 1, 0}, 2))
	}
}

// KR-21 is never above KR-20.
// Source: Kuder and Richardson 1937 (from memory): equal only for equal difficulties.
func TestKR21IsTheLower(t *testing.T) {
	for seed := range uint64(40) {
		c, _ := simulated(seed, 25, 9)
		if a := Analyse(c); a.KR21 > a.KR20+1e-12 || math.Abs(a.Alpha-a.KR20) > 1e-12 {
			t.Errorf("class %d: KR-21 %v, KR-20 %v, alpha %v", seed, a.KR21, a.KR20, a.Alpha)
		}
	}
}

func TestSteps(t *testing.T) {
	c := class("1101", "1001", "0001", "0001")
	for i, step := range []string{"lift", "lift", "", "drain"} {
		c.Questions[i].Step = step
	}
	steps := Analyse(c).Steps()
	if len(steps) != 2 || steps[0].ID != "lift" || steps[0].Missed != 5 || steps[0].Of != 8 || steps[0].Share() != 0.625 || steps[0].Items[0].ID != "b" || steps[1].Missed != 0 {
		t.Errorf("%+v", steps)
	}
}

func TestNewClass(t *testing.T) {
	q := &procedure.Quiz{Questions: []*procedure.Question{
		{ID: "one", Kind: procedure.SingleChoice, Points: 1, Step: procedure.Ref{ID: "lift"}, Choices: []procedure.Choice{{Right: true}, {}, {}}},
		{ID: "oil", Kind: procedure.NumberAnswer, Points: 2, Number: measure.Must("3.6 L"), Tolerance: measure.Must("0.4 L")},
		{ID: "sort", Kind: procedure.OrderAnswer, Points: 1, Choices: make([]procedure.Choice, 3)},
		{ID: "bolt", Kind: procedure.PointAnswer, Points: 1, Target: procedure.Ref{ID: "6"}},
		{ID: "true", Kind: procedure.TrueFalse, Points: 1, True: true},
	}}
	answers := []map[string]quiz.Answer{
		{"one": {Chosen: []int{2}}, "oil": {Number: "3.5", Unit: "L"}, "sort": {Chosen: []int{1, 2, 3}}, "bolt": {Target: "5"}, "true": {Chosen: []int{1}}},
		{"one": {Chosen: []int{1}}, "oil": {Number: "3.5", Unit: "L"}},
		{"one": {Chosen: []int{3}}},
	}
	a := Analyse(NewClass(q, answers, []bool{true, true, false}))
	one, oil := a.Items[0], a.Items[1]
	if one.Right != 1 || len(one.Options) != 3 || one.Options[0].Count != 1 || !one.Options[0].Key || one.Options[1].Count != 1 || one.Options[2].Count != 0 || one.Step != "lift" {
		t.Errorf("one: %+v", one)
	}
	if oil.Right != 2 || len(oil.Options) != 1 || oil.Options[0] != (OptionCount{Option: "3.5 L", Key: true, Count: 2, Upper: oil.Options[0].Upper, Lower: oil.Options[0].Lower, Corrected: oil.Options[0].Corrected, More: oil.More}) || oil.Open != 1 {
		t.Errorf("oil: %+v", oil)
	}
	if sort := a.Items[2]; sort.Right != 1 || len(sort.Options) != 0 {
		t.Errorf("sort: %+v", sort)
	}
	if bolt := a.Items[3]; bolt.Right != 0 || bolt.Options[0].Option != "5" || bolt.Options[0].Key {
		t.Errorf("bolt: %+v", bolt)
	}
	if truth := a.Items[4]; truth.Right != 1 || len(truth.Options) != 2 || truth.Open != 2 {
		t.Errorf("true-false: %+v", truth)
	}
}
