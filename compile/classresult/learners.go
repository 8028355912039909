package classresult

import (
	"slices"
	"strconv"
	"strings"

	"matchmark/procedure/decimal"
	"matchmark/procedure/quiz/collect"
	"matchmark/procedure/quiz/itemanalysis"
)

// Learner is how one learner did in the last try. Whoever could not be marked stands behind all others.
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
		if l.NotMarked > 0 {
			row.Notes = append(row.Notes, w.words.Count("result.also", l.NotMarked))
		}
		out = append(out, row)
	}
	for _, n := range w.from.NotMarked {
		row := Learner{Name: n.Name, Points: "–", Percent: "–", Result: w.words.T("result.not-marked"), Notes: []string{w.words.T("result.not-marked.at", place(n))}}
		if row.Name == "" {
			row.Name = w.words.T("result.unnamed")
		}
		out = append(out, row)
	}
	return out
}

// place says where the result of a learner stands that cannot be marked.
func place(n collect.NotMarked) string {
	if n.Line > 0 {
		return n.File + ":" + strconv.Itoa(n.Line)
	}
	return n.File
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
	if !itemanalysis.Known(x) {
		return "–"
	}
	s := decimal.Format(x, decimals)
	if value, err := strconv.ParseFloat(s, 64); err == nil && value == 0 {
		s = strings.TrimPrefix(s, "-")
	}
	return strings.NewReplacer("-", "−", ".", w.words.T("number.decimal")).Replace(s)
}

// percent writes a share in whole percent.
func (w *writer) percent(share float64) string { return decimal.Format(100*share, 0) }
