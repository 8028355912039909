package classresult

import (
	"matchmark/compile/report"
	"matchmark/procedure"
	"matchmark/procedure/quiz"
)

// begin begins a report on a quiz.
func begin(lib *procedure.Library, q *procedure.Quiz) (*report.Page, *writer, error) {
	p, err := report.New(lib)
	if err != nil {
		return nil, nil, err
	}
	p.Subject = q.Title
	w := &writer{words: p.Words, quiz: q, pass: quiz.PointsToPass(q)}
	w.count()
	return p, w, nil
}

// missing counts what a report cannot say anything of.
type missing struct {
	// undated results have no date or no name, learners could not be marked, older ones answered
	// another wording, and files could not be read to their end.
	undated, learners, older, files int
}

// leftOut says what is missing, in sentences.
func (w *writer) leftOut(m missing) []string {
	var out []string
	if m.undated > 0 {
		out = append(out, w.words.Count("retention.undated", m.undated))
	}
	if m.learners > 0 {
		out = append(out, w.words.Count("result.open", m.learners))
	}
	if m.older > 0 {
		out = append(out, w.words.Count("result.left", m.older))
	}
	if m.files > 0 {
		out = append(out, w.words.Count("result.unread", m.files))
	}
	return out
}

// count notes which number each question has on form A.
func (w *writer) count() {
	w.numbers = make([]int, len(w.quiz.Questions))
	for i, place := range quiz.Arrange(w.quiz, 1) {
		w.numbers[place.Question] = i + 1
	}
}

// byNumber lists the questions' places in the quiz by their numbers on form A.
func (w *writer) byNumber() []int {
	out := make([]int, len(w.numbers))
	for i, n := range w.numbers {
		out[n-1] = i
	}
	return out
}
