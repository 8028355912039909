package collect

import (
	"bytes"
	"encoding/json"
	"errors"
	"slices"
	"time"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/quiz"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// byteOrderMark may stand before the text of a file.
var byteOrderMark = []byte("\xef\xbb\xbf")

// About returns the name of the quiz that a file is on; empty when it does not say.
func About(f File) string {
	if IsTable(f.Name) {
		id, _ := tableQuiz(f.Data)
		return id
	}
	var r struct{ Quiz string }
	if len(f.Data) > largest || json.Unmarshal(bytes.TrimPrefix(f.Data, byteOrderMark), &r) != nil {
		return ""
	}
	return r.Quiz
}

// response reads a file that a tablet saved.
func (g *gathering) response(f File) {
	var r quiz.Response
	lost := func(wrong, advice say.Text) {
		if r.Quiz == g.quiz.ID && r.Format == quiz.ResponseFormat {
			g.leave(tidy(r.Learner), f.Name, 0)
		}
		g.fault(diagnostic.Diagnostic{Severity: diagnostic.Error, Place: text.Position{File: f.Name}, Wrong: wrong, Advice: advice})
	}
	own := bytes.TrimPrefix(f.Data, byteOrderMark)
	if err := json.Unmarshal(own, &r); err != nil {
		g.collection.Unread++
		g.fault(damaged(f.Name, own, err))
		return
	}
	switch {
	case r.Format != quiz.ResponseFormat:
		lost(say.That("this is no result of a quiz"), say.That("Name files that a tablet saved, or tables of answers."))
		return
	case r.Version != quiz.ResponseVersion:
		lost(say.That("the result is of version %version, and this matchmark reads version %known", say.Count(r.Version), say.Count(quiz.ResponseVersion)), say.That("Mark it with the matchmark that made the quiz page."))
		return
	case r.Quiz != g.quiz.ID:
		g.stranger(f.Name, 0, r.Quiz)
		return
	}
	out := Result{File: f.Name, Learner: tidy(r.Learner), Try: r.Try}
	started, err := time.Parse(time.RFC3339, r.Started)
	if err != nil || r.Try < 1 {
		lost(say.That("the result is damaged: it does not say which try it is and when it began"), again)
		return
	}
	out.Started = started.UTC()
	saved := map[string]quiz.Marked{}
	for _, a := range r.Answers {
		if _, twice := saved[a.Question]; twice {
			lost(say.That("the result is damaged: question %question is there twice", say.Quote(tidy(a.Question))), again)
			return
		}
		saved[a.Question] = a
	}
	if r.Edition == quiz.Edition(g.quiz) {
		g.present(out, saved)
	} else {
		g.other(out, saved, r.Edition)
	}
}

var again = say.That("Save the result from the tablet again, or leave the file out.")

// damaged says where JSON breaks off.
func damaged(name string, own []byte, err error) diagnostic.Diagnostic {
	out := diagnostic.Diagnostic{Severity: diagnostic.Error, Place: text.Position{File: name}, Wrong: say.That("the result is damaged: %cause", say.Why(err)), Advice: again}
	offset := int64(-1)
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax):
		offset = syntax.Offset - 1
		out.Wrong = say.That("the result is damaged from here on")
	case errors.As(err, &kind):
		offset = kind.Offset - 1
		out.Wrong = say.That("the result is damaged: %cause", say.Why(kind))
	}
	if len(bytes.TrimSpace(own)) == 0 {
		out.Wrong = say.That("the file is empty")
		return out
	}
	out.Place = text.NewFile(name, own).Position(int(min(max(offset, 0), int64(len(own)))))
	return out
}

// stranger reports a result of another quiz.
func (g *gathering) stranger(file string, line int, other string) {
	if other = tidy(other); other == "" {
		g.fault(diagnostic.Diagnostic{Severity: diagnostic.Error, Place: text.Position{File: file, Line: line}, Wrong: say.That("the file does not say which quiz it is on"), Advice: again})
		return
	}
	g.fault(diagnostic.Diagnostic{Severity: diagnostic.Error, Place: text.Position{File: file, Line: line}, Wrong: say.That("this is a result of the quiz %other, not of %quiz", say.Quote(other), say.Quote(g.quiz.ID)),
		Advice: say.That("Mark it by itself, with --quiz %other.", say.Name(other))})
}

// present takes in a result of the quiz's present wording.
func (g *gathering) present(out Result, saved map[string]quiz.Marked) {
	out.Exact = true
	if g.answered(&out, g.quiz, saved) {
		g.add(out)
	}
}

// answered takes the answers to all questions of a wording; false when they are not all there, or cannot have been given.
func (g *gathering) answered(out *Result, shown *procedure.Quiz, saved map[string]quiz.Marked) bool {
	out.shown, out.Answers = shown, map[string]quiz.Answer{}
	other := false
	for _, q := range shown.Questions {
		a, ok := saved[q.ID]
		if !ok || !possible(q, a) {
			wrong := say.That("the result is damaged: question %question is missing", say.Quote(q.ID))
			if ok {
				wrong = say.That("the result is damaged: question %question has an answer that cannot be given", say.Quote(q.ID))
			}
			g.leave(out.Learner, out.File, 0)
			g.fault(diagnostic.Diagnostic{Severity: diagnostic.Error, Place: text.Position{File: out.File}, Wrong: wrong, Advice: again})
			return false
		}
		out.Answers[q.ID] = a.Answer
		other = other || a.Right != quiz.Right(q, a.Answer)
	}
	if len(saved) > len(shown.Questions) {
		g.leave(out.Learner, out.File, 0)
		g.fault(diagnostic.Diagnostic{Severity: diagnostic.Error, Place: text.Position{File: out.File}, Wrong: say.That("the result is damaged: it answers questions that the quiz does not have"), Advice: again})
		return false
	}
	if other {
		g.fault(diagnostic.Diagnostic{Severity: diagnostic.Advice, Place: text.Position{File: out.File}, Wrong: say.That("the marks in the file are not those of its answers; it was marked anew")})
	}
	return true
}

// other takes in a result of another wording, and marks it by that. What the file says of the worth of its answers counts
// for nothing, and the present questions are not those that were asked: without the key there is no mark.
func (g *gathering) other(out Result, saved map[string]quiz.Marked, edition string) {
	message := say.That("the result is of another wording of the quiz (%edition)", say.Name(tidy(edition)))
	shown, was := g.wording(edition)
	if shown == nil {
		g.leave(out.Learner, out.File, 0)
		g.fault(diagnostic.Diagnostic{
			Code: Unmarked, Severity: diagnostic.Error, Place: text.Position{File: out.File},
			Wrong: say.That("%message, whose key is not here; it is not marked", message), Advice: say.That("Mark it with the library as it was then."),
		})
		return
	}
	if !g.answered(&out, shown, saved) {
		return
	}
	now := quiz.WordingOf(g.quiz)
	for _, q := range now.Questions {
		if !now.Same(was, q.ID) {
			out.Missing = append(out.Missing, q.ID)
		}
	}
	g.fault(diagnostic.Diagnostic{Severity: diagnostic.Advice, Place: text.Position{File: out.File}, Wrong: say.That("%message; it is marked by the questions that were asked then", message)})
	g.add(out)
}

// wording finds another wording of the quiz that is known, and makes a quiz of it; nil when it is not.
func (g *gathering) wording(edition string) (*procedure.Quiz, quiz.Wording) {
	for _, w := range g.known {
		if w.Quiz != g.quiz.ID || w.Edition != edition {
			continue
		}
		if shown, err := w.Restore(); err == nil {
			return shown, w
		}
	}
	return nil, quiz.Wording{}
}

// possible reports whether a tablet can give an answer to a question.
func possible(q *procedure.Question, a quiz.Marked) bool {
	if a.Kind != q.Kind {
		return false
	}
	choices := len(q.Choices)
	if q.Kind == procedure.TrueFalse {
		choices = 2
	}
	sorted := slices.Sorted(slices.Values(a.Chosen))
	if len(sorted) != len(slices.Compact(slices.Clone(sorted))) || len(sorted) > 0 && (sorted[0] < 1 || sorted[len(sorted)-1] > choices) {
		return false
	}
	switch q.Kind {
	case procedure.NumberAnswer:
		return len(a.Chosen) == 0 && a.Target == "" && len(a.Number) <= longest && len(a.Unit) <= longest
	case procedure.PointAnswer:
		return len(a.Chosen) == 0 && a.Number == "" && len(a.Target) <= longest
	case procedure.OrderAnswer:
		return a.Number == "" && a.Target == "" && (len(a.Chosen) == 0 || len(a.Chosen) == choices)
	case procedure.SingleChoice, procedure.TrueFalse:
		return a.Number == "" && a.Target == "" && len(a.Chosen) <= 1
	}
	return a.Number == "" && a.Target == ""
}
