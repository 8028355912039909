package quiz

import (
	"fmt"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// Wording is all that marking needs of a quiz in one wording. It is kept, so that a try
// can be marked by the questions that it was asked, whatever the quiz asks by now.
type Wording struct {
	Quiz      string          `json:"quiz"`
	Edition   string          `json:"edition"`
	Pass      int             `json:"pass"`
	Questions []WordingOfItem `json:"questions"`
}

// WordingOfItem is one question of a wording.
type WordingOfItem struct {
	ID       string                 `json:"id"`
	Kind     procedure.QuestionKind `json:"kind"`
	Points   int                    `json:"points"`
	Critical bool                   `json:"critical"`
	// Choices is how many choices there are, and Chosen the right ones as Answer counts them.
	Choices int   `json:"choices"`
	Chosen  []int `json:"chosen"`
	// Number and Tolerance are the right answer of a number question, with their units; empty for none.
	Number    string `json:"number"`
	Tolerance string `json:"tolerance"`
	Target    string `json:"target"`
}

// WordingOf returns the wording of a quiz as it is.
func WordingOf(q *procedure.Quiz) Wording {
	out := Wording{Quiz: q.ID, Edition: Edition(q), Pass: q.Pass}
	for _, x := range q.Questions {
		to := WordingOfItem{ID: x.ID, Kind: x.Kind, Points: x.Points, Critical: x.Critical, Choices: len(x.Choices), Chosen: RightChoices(x), Target: x.Target.ID}
		if x.Kind == procedure.NumberAnswer {
			to.Number = x.Number.String()
			if !x.Tolerance.IsZero() {
				to.Tolerance = x.Tolerance.String()
			}
		}
		out.Questions = append(out.Questions, to)
	}
	return out
}

// Restore makes a quiz of a wording, for Mark alone: it has neither texts nor a procedure.
func (w Wording) Restore() (*procedure.Quiz, error) {
	out := &procedure.Quiz{ID: w.Quiz, Pass: w.Pass}
	for _, x := range w.Questions {
		q := &procedure.Question{ID: x.ID, Kind: x.Kind, Points: x.Points, Critical: x.Critical, Choices: make([]procedure.Choice, x.Choices)}
		q.Target.ID = x.Target
		q.True = x.Kind == procedure.TrueFalse && slices.Equal(x.Chosen, []int{1})
		if x.Kind == procedure.SingleChoice || x.Kind == procedure.SeveralChoice {
			for _, c := range x.Chosen {
				if c < 1 || c > x.Choices {
					return nil, fmt.Errorf("question %s: there is no choice %d", x.ID, c)
				}
				q.Choices[c-1].Right = true
			}
		}
		if x.Kind == procedure.NumberAnswer {
			if err := x.quantities(&q.Number, &q.Tolerance); err != nil {
				return nil, fmt.Errorf("question %s: %w", x.ID, err)
			}
		}
		out.Questions = append(out.Questions, q)
	}
	return out, nil
}

// quantities reads the right number.
func (x WordingOfItem) quantities(number, tolerance *measure.Quantity) (err error) {
	if *number, err = measure.Parse(x.Number); err == nil && x.Tolerance != "" {
		*tolerance, err = measure.Parse(x.Tolerance)
	}
	return err
}

// Same reports whether a question is asked in another wording too, by the same key.
func (w Wording) Same(other Wording, id string) bool {
	item := func(of Wording) int {
		return slices.IndexFunc(of.Questions, func(x WordingOfItem) bool { return x.ID == id })
	}
	i, j := item(w), item(other)
	if i < 0 || j < 0 {
		return false
	}
	a, b := w.Questions[i], other.Questions[j]
	return a.Kind == b.Kind && a.Choices == b.Choices && slices.Equal(a.Chosen, b.Chosen) &&
		a.Number == b.Number && a.Tolerance == b.Tolerance && a.Target == b.Target
}
