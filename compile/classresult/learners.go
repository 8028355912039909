package classresult

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"matchmark/procedure/quiz/analysis"
)

// Learner is how one learner did in the last try.
type Learner struct {
	Name   string
	Passed bool
	// Points is such as "12 of 15", Percent such as "80 %", Result says passed or not.
	Points, Percent, Result string
	// Notes say which critical questions are not right, and what else there is to know.
	Notes []string
}

func (w *writer) learners() []Learner {
	var out []Learner
	for _, l := range w.from.Learners {
		last := l.Last()
		s := last.Score
		row := Learner{
			Name: l.Name, Passed: s.Passed, Points: w.words.T("result.of", s.Points, s.Of),
			Percent: strconv.Itoa(s.Percent) + " %", Result: w.words.T("result.no"),
		}
		if row.Name == "" {
			row.Name = w.words.T("result.unnamed")
		}
		if s.Passed {
			row.Result = w.words.T("result.yes")
		}
		if len(s.CriticalWrong) > 0 {
			row.Notes = append(row.Notes, w.words.Count("result.critical", len(s.CriticalWrong), w.named(s.CriticalWrong)))
		}
		if last.Try > 1 {
			row.Notes = append(row.Notes, w.words.T("result.try", last.Try))
		}
		if n := len(last.Missing); n > 0 {
			row.Notes = append(row.Notes, w.words.Count("result.missing", n, w.named(last.Missing)))
		}
		out = append(out, row)
	}
	return out
}

// named lists questions by their numbers on the form.
func (w *writer) named(ids []string) string {
	var numbers []int
	for i, q := range w.quiz.Questions {
		if slices.Contains(ids, q.ID) {
			numbers = append(numbers, w.numbers[i])
		}
	}
	slices.Sort(numbers)
	var out []string
	for _, n := range numbers {
		out = append(out, strconv.Itoa(n))
	}
	return strings.Join(out, ", ")
}

// number writes a figure with so many decimals; a dash when there is none.
func (w *writer) number(x float64, decimals int) string {
	if !analysis.Known(x) {
		return "–"
	}
	s := strconv.FormatFloat(x, 'f', decimals, 64)
	if value, err := strconv.ParseFloat(s, 64); err == nil && value == 0 {
		s = strings.TrimPrefix(s, "-")
	}
	return strings.NewReplacer("-", "−", ".", w.words.T("number.decimal")).Replace(s)
}

// percent writes a share in whole percent.
func (w *writer) percent(share float64) string { return strconv.Itoa(int(math.Round(100 * share))) }
