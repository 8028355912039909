package quizpage

import (
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/quiz"
)

// key is what the page's script marks with. It lies open in the page: the quiz
// works without a server, and whoever wants to read the answers can.
type key struct {
	Quiz             string        `json:"quiz"`
	Format           string        `json:"format"`
	Version          int           `json:"version"`
	Edition          string        `json:"edition"`
	Procedure        string        `json:"procedure"`
	ProcedureEdition string        `json:"procedureEdition"`
	Pass             int           `json:"pass"`
	Seed             uint32        `json:"seed"`
	Tries            int           `json:"tries"`
	Questions        []keyQuestion `json:"questions"`
}

type keyQuestion struct {
	ID       string                 `json:"id"`
	Kind     procedure.QuestionKind `json:"kind"`
	Points   int                    `json:"points"`
	Critical bool                   `json:"critical"`
	// Generated is true for a question made from the procedure's own facts.
	Generated bool `json:"generated,omitempty"`
	// Choices is how many choices there are to shuffle, and Chosen the right answer as quiz.Answer counts it.
	Choices int        `json:"choices"`
	Chosen  []int      `json:"chosen,omitempty"`
	Number  *keyNumber `json:"number,omitempty"`
	Target  string     `json:"target,omitempty"`
}

// keyNumber holds the limits of a right number in decimal digits of one unit.
type keyNumber struct {
	Low   string    `json:"low"`
	High  string    `json:"high"`
	Unit  string    `json:"unit"`
	Units []keyUnit `json:"units"`
}

// keyUnit converts a unit: base = number · factor + zero. Both are a decimal or
// two decimals with a slash between them.
type keyUnit struct {
	Symbol string `json:"symbol"`
	Factor string `json:"factor"`
	Zero   string `json:"zero,omitempty"`
}

func newKey(q *procedure.Quiz) (key, error) {
	k := key{
		Quiz: q.ID, Format: quiz.ResponseFormat, Version: quiz.ResponseVersion, Edition: quiz.Edition(q),
		Pass: q.Pass, Seed: quiz.Start(q.Seed), Tries: q.Tries,
	}
	if q.Procedure != nil {
		k.Procedure, k.ProcedureEdition = q.Procedure.ID, q.Procedure.Edition
	}
	for _, from := range q.Questions {
		to := keyQuestion{
			ID: from.ID, Kind: from.Kind, Points: from.Points, Critical: from.Critical, Generated: from.Generated,
			Choices: len(from.Choices), Chosen: quiz.RightChoices(from), Target: from.Target.ID,
		}
		if from.Kind == procedure.NumberAnswer {
			n, err := newKeyNumber(from)
			if err != nil {
				return key{}, err
			}
			to.Number = n
		}
		k.Questions = append(k.Questions, to)
	}
	return k, nil
}

func newKeyNumber(from *procedure.Question) (*keyNumber, error) {
	low, high, err := quiz.Limits(from)
	if err != nil {
		return nil, err
	}
	n := &keyNumber{Low: digits(low), High: digits(high), Unit: low.Unit()}
	for _, u := range measure.Units() {
		if u.Dimension == low.Dimension() {
			n.Units = append(n.Units, keyUnit{u.Symbol, u.Factor, u.Zero})
		}
	}
	return n, nil
}

// digits is the number of a quantity without its unit.
func digits(q measure.Quantity) string {
	return strings.TrimSpace(strings.TrimSuffix(q.String(), q.Unit()))
}
