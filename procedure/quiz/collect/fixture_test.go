package collect

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/quiz"
	"matchmark/procedure/text"
)

// sample is a quiz with a question of each kind, in the author's order.
func sample() *procedure.Quiz {
	choices := func(right ...bool) []procedure.Choice {
		var out []procedure.Choice
		for _, r := range right {
			out = append(out, procedure.Choice{Right: r})
		}
		return out
	}
	m := &procedure.Machine{ID: "mixer", Fasteners: []*procedure.Fastener{{Row: procedure.Row{ID: "4"}}, {Row: procedure.Row{ID: "6"}}}}
	m.Index()
	p := &procedure.Procedure{ID: "out", Machine: m, Figures: []*procedure.Figure{{ID: "feet", Balloons: []procedure.Balloon{
		{Ref: procedure.Ref{ID: "4"}}, {Ref: procedure.Ref{ID: "6"}},
	}}}}
	return &procedure.Quiz{
		ID: "mixer-quiz", Pass: 60, Procedure: p, File: text.NewFile("q.md", []byte("abc")),
		Questions: []*procedure.Question{
			{ID: "why", Kind: procedure.SingleChoice, Points: 2, Critical: true, Choices: choices(true, false, false)},
			{ID: "signs", Kind: procedure.SeveralChoice, Points: 1, Choices: choices(true, false, true)},
			{ID: "lock", Kind: procedure.TrueFalse, Points: 1},
			{ID: "oil", Kind: procedure.NumberAnswer, Points: 1, Number: measure.Must("3.6 L"), Tolerance: measure.Must("0.4 L")},
			{ID: "sort", Kind: procedure.OrderAnswer, Points: 1, Choices: choices(false, false, false)},
			{ID: "bolt", Kind: procedure.PointAnswer, Points: 1, Figure: procedure.Ref{ID: "feet"}, Target: procedure.Ref{ID: "6"}},
		},
	}
}

// right answers everything right.
func right() map[string]quiz.Answer {
	return map[string]quiz.Answer{
		"why": {Chosen: []int{1}}, "signs": {Chosen: []int{1, 3}}, "lock": {Chosen: []int{2}},
		"oil": {Number: "3.6", Unit: "L"}, "sort": {Chosen: []int{1, 2, 3}}, "bolt": {Target: "6"},
	}
}

// saved is the file that a tablet saves, after a change to what it holds.
func saved(q *procedure.Quiz, learner string, try int, answers map[string]quiz.Answer, change func(*quiz.Response)) []byte {
	r := quiz.Response{
		Format: quiz.ResponseFormat, Version: quiz.ResponseVersion, Quiz: q.ID, Edition: quiz.Edition(q),
		Learner: learner, Try: try, Started: fmt.Sprintf("2026-03-02T08:%02d:00.000Z", try), Finished: "2026-03-02T09:00:00.000Z",
	}
	for _, question := range q.Questions {
		a := answers[question.ID]
		r.Answers = append(r.Answers, quiz.Marked{Question: question.ID, Kind: question.Kind, Answer: a, Right: quiz.Right(question, a)})
	}
	if change != nil {
		change(&r)
	}
	out, err := json.MarshalIndent(r, "", "  ")
	if err != nil {
		panic(err)
	}
	return out
}

// told writes down a collection: a line for each learner, and one for each fault.
func told(c *Collection) string {
	var b strings.Builder
	for _, l := range c.Learners {
		fmt.Fprintf(&b, "%q", l.Name)
		for _, r := range l.Tries {
			fmt.Fprintf(&b, " try %d: %d/%d", r.Try, r.Score.Points, r.Score.Of)
			if r.Score.Passed {
				b.WriteString(" passed")
			}
			if !r.Exact {
				b.WriteString(" carried")
			}
			if len(r.Missing) > 0 {
				fmt.Fprintf(&b, " without %s", strings.Join(r.Missing, ","))
			}
		}
		b.WriteByte('\n')
	}
	for _, f := range c.Faults {
		kind := "note"
		if Lost(f) {
			kind = "lost"
		}
		fmt.Fprintf(&b, "%s %s: %s\n", kind, f.Place, f.Says())
	}
	return b.String()
}

func expect(t *testing.T, c *Collection, want string) {
	t.Helper()
	if got := told(c); got != strings.TrimPrefix(want, "\n") {
		t.Errorf("got\n%s\nwant%s", got, want)
	}
	for _, f := range c.Faults {
		if Lost(f) && f.Advice.Empty() {
			t.Errorf("%s: nothing says what to do", f.Says())
		}
	}
}
