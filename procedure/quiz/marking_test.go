package quiz

import (
	"slices"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/text"
)

func choices(right ...bool) []procedure.Choice {
	var out []procedure.Choice
	for _, r := range right {
		out = append(out, procedure.Choice{Right: r})
	}
	return out
}

// The rules are this project's own and stand in the package comment. For torque
// the factor is exact: 1 lbf·ft = 1.3558179483314004 N·m (pound 0.45359237 kg,
// foot 0.3048 m, standard gravity 9.80665 m/s²), so 43 N·m is 31.7151... lbf·ft.
func TestRight(t *testing.T) {
	single := &procedure.Question{Kind: procedure.SingleChoice, Choices: choices(false, true, false)}
	several := &procedure.Question{Kind: procedure.SeveralChoice, Choices: choices(true, false, true, false)}
	truth := &procedure.Question{Kind: procedure.TrueFalse, True: true}
	lie := &procedure.Question{Kind: procedure.TrueFalse}
	order := &procedure.Question{Kind: procedure.OrderAnswer, Choices: choices(false, false, false)}
	point := &procedure.Question{Kind: procedure.PointAnswer, Target: procedure.Ref{ID: "6"}}
	torque := &procedure.Question{Kind: procedure.NumberAnswer, Number: measure.Must("45 N·m"), Tolerance: measure.Must("2 N·m")}
	share := &procedure.Question{Kind: procedure.NumberAnswer, Number: measure.Must("45 N·m"), Tolerance: measure.Must("10 %")}
	exact := &procedure.Question{Kind: procedure.NumberAnswer, Number: measure.Must("0.3 mm")}
	cold := &procedure.Question{Kind: procedure.NumberAnswer, Number: measure.Must("-5 °C")}
	mixed := &procedure.Question{Kind: procedure.NumberAnswer, Number: measure.Must("45 N·m"), Tolerance: measure.Must("2 mm")}

	tests := []struct {
		name     string
		question *procedure.Question
		answer   Answer
		want     bool
	}{
		{"the right choice", single, Answer{Chosen: []int{2}}, true},
		{"a wrong choice", single, Answer{Chosen: []int{1}}, false},
		{"two choices where one is asked for", single, Answer{Chosen: []int{1, 2}}, false},
		{"no choice", single, Answer{}, false},
		{"all right ones in any order", several, Answer{Chosen: []int{3, 1}}, true},
		{"one of two right ones", several, Answer{Chosen: []int{1}}, false},
		{"right ones and a wrong one", several, Answer{Chosen: []int{1, 3, 4}}, false},
		{"true is true", truth, Answer{Chosen: []int{1}}, true},
		{"true is not false", truth, Answer{Chosen: []int{2}}, false},
		{"false is false", lie, Answer{Chosen: []int{2}}, true},
		{"true-false left open", lie, Answer{}, false},
		{"in order", order, Answer{Chosen: []int{1, 2, 3}}, true},
		{"two lines swapped", order, Answer{Chosen: []int{1, 3, 2}}, false},
		{"a line short", order, Answer{Chosen: []int{1, 2}}, false},
		{"order left open", order, Answer{}, false},
		{"the callout", point, Answer{Target: "6"}, true},
		{"another callout", point, Answer{Target: "5"}, false},
		{"no callout", point, Answer{}, false},
		{"no callout where none is right", &procedure.Question{Kind: procedure.PointAnswer}, Answer{}, false},
		{"the number", torque, Answer{Number: "45", Unit: "N·m"}, true},
		{"the lower limit", torque, Answer{Number: "43.0", Unit: "N·m"}, true},
		{"the upper limit with a comma", torque, Answer{Number: " 47,0 ", Unit: "Nm"}, true},
		{"just below", torque, Answer{Number: "42.999999", Unit: "N·m"}, false},
		{"just above", torque, Answer{Number: "47.000001", Unit: "N·m"}, false},
		{"within in another unit", torque, Answer{Number: "31.7152", Unit: "lbf·ft"}, true},
		{"below in another unit", torque, Answer{Number: "31.7150", Unit: "lbf·ft"}, false},
		{"the number with the wrong unit", torque, Answer{Number: "45", Unit: "lbf·ft"}, false},
		{"a unit of something else", torque, Answer{Number: "45", Unit: "mm"}, false},
		{"no unit", torque, Answer{Number: "45"}, false},
		{"no number", torque, Answer{Number: "about 45", Unit: "N·m"}, false},
		{"thousands", torque, Answer{Number: "1,000,000", Unit: "N·m"}, false},
		{"too many digits", torque, Answer{Number: "45.000000000000000", Unit: "N·m"}, false},
		{"a share of the number", share, Answer{Number: "40.5", Unit: "N·m"}, true},
		{"outside the share", share, Answer{Number: "40.49", Unit: "N·m"}, false},
		{"no tolerance", exact, Answer{Number: "0.30", Unit: "mm"}, true},
		{"no tolerance, missed", exact, Answer{Number: "0.31", Unit: "mm"}, false},
		{"no tolerance, another unit", exact, Answer{Number: "300", Unit: "µm"}, true},
		{"a typeset minus", cold, Answer{Number: "−5", Unit: "°C"}, true},
		{"another scale", cold, Answer{Number: "23", Unit: "°F"}, true},
		{"a tolerance that does not fit", mixed, Answer{Number: "45", Unit: "N·m"}, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := Right(tt.question, tt.answer); got != tt.want {
				t.Errorf("right: %v, want %v", got, tt.want)
			}
		})
	}
}

func TestMark(t *testing.T) {
	quiz := &procedure.Quiz{Pass: 70, Questions: []*procedure.Question{
		{ID: "a", Kind: procedure.TrueFalse, True: true, Points: 1, Critical: true},
		{ID: "b", Kind: procedure.TrueFalse, True: true, Points: 1},
		{ID: "c", Kind: procedure.TrueFalse, True: true, Points: 1},
	}}
	says := func(a, b, c int) map[string]Answer {
		return map[string]Answer{"a": {Chosen: []int{a}}, "b": {Chosen: []int{b}}, "c": {Chosen: []int{c}}}
	}
	tests := []struct {
		name    string
		answers map[string]Answer
		pass    int
		points  int
		percent int
		wrong   []string
		passed  bool
	}{
		{"all right", says(1, 1, 1), 70, 3, 100, []string{}, true},
		{"two of three miss 70 %", says(1, 1, 2), 70, 2, 66, []string{}, false},
		{"two of three reach 66 %", says(1, 1, 2), 66, 2, 66, []string{}, true},
		{"two of three miss 67 % and do not show it", says(1, 1, 2), 67, 2, 66, []string{}, false},
		{"the critical one is wrong", says(2, 1, 1), 50, 2, 66, []string{"a"}, false},
		{"nothing answered", nil, 0, 0, 0, []string{"a"}, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			quiz.Pass = tt.pass
			s := Mark(quiz, tt.answers)
			if s.Points != tt.points || s.Of != 3 || s.Percent != tt.percent || s.Pass != tt.pass || s.Passed != tt.passed || !slices.Equal(s.CriticalWrong, tt.wrong) {
				t.Errorf("got %+v", s)
			}
		})
	}
}

func TestMarkOfAnEmptyQuizIsNotPassed(t *testing.T) {
	if s := Mark(&procedure.Quiz{Pass: 0}, nil); s.Passed || s.Of != 0 || s.Percent != 0 {
		t.Errorf("got %+v", s)
	}
}

func TestPointsToPass(t *testing.T) {
	for _, tt := range []struct{ points, pass, want int }{{10, 80, 8}, {11, 80, 9}, {3, 66, 2}, {3, 67, 3}, {10, 0, 0}, {7, 100, 7}} {
		q := &procedure.Quiz{Pass: tt.pass, Questions: []*procedure.Question{{Points: tt.points}}}
		if got := PointsToPass(q); got != tt.want {
			t.Errorf("%d %% of %d: %d points, want %d", tt.pass, tt.points, got, tt.want)
		}
	}
}

// SHA-256 of "abc" begins ba7816bf 8f01cfea (FIPS 180-2, appendix B.1).
func TestEdition(t *testing.T) {
	if got := Edition(&procedure.Quiz{File: text.NewFile("q.md", []byte("abc"))}); got != "ba7816bf8f01" {
		t.Errorf("edition %s", got)
	}
	made := &procedure.Quiz{File: text.NewFile("q.md", []byte("abc")), Questions: []*procedure.Question{{ID: "torque-4", Generated: true, Choices: choices(true, false)}}}
	first := Edition(made)
	made.Questions[0].Choices[0].Prose = procedure.Words(text.Span{}, "80 N·m")
	if second := Edition(made); first == "ba7816bf8f01" || first == second {
		t.Errorf("made questions: editions %s and %s", first, second)
	}
	// The words go in as they always did, so that responses of long ago compare: computed by Python's hashlib from
	// abc\n"torque-4" "<p>The torque of the 1/2&#34; bolt &amp; its maker&#39;s?</p>" "" "" "<p>80 N·m</p>" true "<p>&lt; 45 N·m</p>" false
	words := func(s string) procedure.Prose { return procedure.Words(text.Span{}, s) }
	made.Questions[0].Stem = words(`The torque of the 1/2" bolt & its maker's?`)
	made.Questions[0].Choices[1].Prose = words("< 45 N·m")
	if got := Edition(made); got != "8f9286146d63" {
		t.Errorf("the edition of a made question: %s", got)
	}
	if got := Edition(&procedure.Quiz{}); got != "" {
		t.Errorf("edition of a quiz without a file: %q", got)
	}
}
