package quiz

import (
	"encoding/json"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// everyKind is a quiz with a question of each kind.
func everyKind() *procedure.Quiz {
	choices := []procedure.Choice{{Right: true}, {}, {Right: true}}
	return &procedure.Quiz{ID: "q", Pass: 60, Questions: []*procedure.Question{
		{ID: "one", Kind: procedure.SingleChoice, Points: 2, Critical: true, Choices: []procedure.Choice{{}, {Right: true}}},
		{ID: "several", Kind: procedure.SeveralChoice, Points: 1, Choices: choices},
		{ID: "true", Kind: procedure.TrueFalse, Points: 1, True: true},
		{ID: "false", Kind: procedure.TrueFalse, Points: 1},
		{ID: "share", Kind: procedure.NumberAnswer, Points: 1, Number: measure.Must("45 N·m"), Tolerance: measure.Must("10 %")},
		{ID: "exact", Kind: procedure.NumberAnswer, Points: 1, Number: measure.Must("0.25 mm")},
		{ID: "order", Kind: procedure.OrderAnswer, Points: 1, Choices: make([]procedure.Choice, 3)},
		{ID: "point", Kind: procedure.PointAnswer, Points: 1, Target: procedure.Ref{ID: "6"}},
	}}
}

// A kept wording marks as the quiz did that it was made of.
func TestWordingMarksAlike(t *testing.T) {
	q := everyKind()
	written, err := json.Marshal(WordingOf(q))
	assert.NilError(t, err)
	var kept Wording
	assert.NilError(t, json.Unmarshal(written, &kept))
	restored, err := kept.Restore()
	assert.NilError(t, err)
	answers := []Answer{{}, {Chosen: []int{1}}, {Chosen: []int{2}}, {Chosen: []int{1, 3}}, {Chosen: []int{1, 2, 3}}, {Chosen: []int{2, 1, 3}}, {Target: "6"}, {Target: "4"},
		{Number: "40.5", Unit: "N·m"}, {Number: "40.4", Unit: "N·m"}, {Number: "49.5", Unit: "N·m"}, {Number: "0.25", Unit: "mm"}, {Number: "0.26", Unit: "mm"}}
	for i, was := range q.Questions {
		right := 0
		for _, a := range answers {
			if want := Right(was, a); Right(restored.Questions[i], a) != want {
				t.Errorf("%s: %+v is right: %v", was.ID, a, !want)
			} else if want {
				right++
			}
		}
		if right == 0 {
			t.Errorf("%s: no answer is right", was.ID)
		}
	}
	got, want := Mark(restored, map[string]Answer{"several": {Chosen: []int{1, 3}}}), Mark(q, map[string]Answer{"several": {Chosen: []int{1, 3}}})
	if got.Points != want.Points || got.Of != want.Of || got.Passed != want.Passed || len(got.CriticalWrong) != 1 {
		t.Errorf("%+v, want %+v", got, want)
	}
}

func TestSameQuestion(t *testing.T) {
	a, other := WordingOf(everyKind()), everyKind()
	other.Questions[0].Choices[0].Right, other.Questions[0].Choices[1].Right = true, false
	other.Questions[4].Tolerance = measure.Must("9 %")
	other.Questions[7].Target.ID = "4"
	b := WordingOf(other)
	for id, want := range map[string]bool{"one": false, "several": true, "share": false, "exact": true, "point": false, "order": true, "gone": false} {
		if a.Same(b, id) != want {
			t.Errorf("%s is the same: %v", id, !want)
		}
	}
}

func TestBrokenWording(t *testing.T) {
	for name, x := range map[string]WordingOfItem{
		"a choice that is not there": {Kind: procedure.SingleChoice, Choices: 2, Chosen: []int{3}},
		"no number":                  {Kind: procedure.NumberAnswer, Number: "much"},
		"no tolerance":               {Kind: procedure.NumberAnswer, Number: "3 mm", Tolerance: "some"},
	} {
		if _, err := (Wording{Questions: []WordingOfItem{x}}).Restore(); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
