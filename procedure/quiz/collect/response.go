package collect

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"matchmark/procedure"
	"matchmark/procedure/quiz"
	"matchmark/procedure/text"
)

// byteOrderMark may stand before the text of a file.
var byteOrderMark = []byte("\xef\xbb\xbf")

// about returns the name of the quiz that a file is on; empty when it does not say.
func about(f File) string {
	if isTable(f.Name) {
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
	lost := func(message, do string) { g.fault(Fault{File: f.Name, Lost: true, Message: message, Do: do}) }
	var r quiz.Response
	own := bytes.TrimPrefix(f.Data, byteOrderMark)
	if err := json.Unmarshal(own, &r); err != nil {
		g.fault(damaged(f.Name, own, err))
		return
	}
	switch {
	case r.Format != quiz.ResponseFormat:
		lost("this is no result of a quiz", "Name files that a tablet saved, or tables of answers.")
		return
	case r.Version != quiz.ResponseVersion:
		lost(fmt.Sprintf("the result is of version %d, and this matchmark reads version %d", r.Version, quiz.ResponseVersion), "Mark it with the matchmark that made the quiz page.")
		return
	case r.Quiz != g.quiz.ID:
		g.stranger(f.Name, 0, r.Quiz)
		return
	}
	out := Result{File: f.Name, Learner: tidy(r.Learner), Try: r.Try}
	started, err := time.Parse(time.RFC3339, r.Started)
	if err != nil || r.Try < 1 {
		lost("the result is damaged: it does not say which try it is and when it began", again)
		return
	}
	out.Started = started.UTC()
	saved := map[string]quiz.Marked{}
	for _, a := range r.Answers {
		if _, twice := saved[a.Question]; twice {
			lost(fmt.Sprintf("the result is damaged: question %q is there twice", tidy(a.Question)), again)
			return
		}
		saved[a.Question] = a
	}
	if r.Edition == quiz.Edition(g.quiz) {
		g.present(out, saved)
	} else {
		g.carried(out, saved, r.Edition)
	}
}

const again = "Save the result from the tablet again, or leave the file out."

// damaged says where JSON breaks off.
func damaged(name string, own []byte, err error) Fault {
	out := Fault{File: name, Lost: true, Message: "the result is damaged: " + err.Error(), Do: again}
	offset := int64(-1)
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax):
		offset = syntax.Offset - 1
		out.Message = "the result is damaged from here on"
	case errors.As(err, &kind):
		offset = kind.Offset - 1
		out.Message = fmt.Sprintf("the result is damaged: %s cannot be a %s", tidy(kind.Field), tidy(kind.Value))
	}
	if len(bytes.TrimSpace(own)) == 0 {
		out.Message = "the file is empty"
		return out
	}
	at := text.NewFile(name, own).Position(int(min(max(offset, 0), int64(len(own)))))
	out.Line, out.Column = at.Line, at.Column
	return out
}

// stranger reports a result of another quiz.
func (g *gathering) stranger(file string, line int, other string) {
	if other = tidy(other); other == "" {
		g.fault(Fault{File: file, Line: line, Lost: true, Message: "the file does not say which quiz it is on", Do: again})
		return
	}
	g.fault(Fault{
		File: file, Line: line, Lost: true, Message: fmt.Sprintf("this is a result of the quiz %q, not of %q", other, g.quiz.ID),
		Do: fmt.Sprintf("Mark it by itself, with --quiz %s.", other),
	})
}

// present takes in a result of the quiz's present wording.
func (g *gathering) present(out Result, saved map[string]quiz.Marked) {
	out.Exact, out.Answers = true, map[string]quiz.Answer{}
	other := false
	for _, q := range g.quiz.Questions {
		a, ok := saved[q.ID]
		if !ok || !possible(q, a) {
			what := "is missing"
			if ok {
				what = "has an answer that cannot be given"
			}
			g.fault(Fault{File: out.File, Lost: true, Message: fmt.Sprintf("the result is damaged: question %q %s", q.ID, what), Do: again})
			return
		}
		out.Answers[q.ID] = a.Answer
		other = other || a.Right != quiz.Right(q, a.Answer)
	}
	if len(saved) > len(g.quiz.Questions) {
		g.fault(Fault{File: out.File, Lost: true, Message: "the result is damaged: it answers questions that the quiz does not have", Do: again})
		return
	}
	if other {
		g.fault(Fault{File: out.File, Message: "the marks in the file are not those of its answers; it was marked anew"})
	}
	g.add(out)
}

// carried takes in what still holds of a result of another wording: questions
// that are there by the same name and of the same kind, and whose answer is worth
// what it was. Where the worth differs, the key or the choices have changed, and
// which of the two cannot be told.
func (g *gathering) carried(out Result, saved map[string]quiz.Marked, edition string) {
	out.Answers = map[string]quiz.Answer{}
	var lost []string
	leave := func(id, why string) {
		out.Missing = append(out.Missing, id)
		lost = append(lost, id+" ("+why+")")
	}
	for _, q := range g.quiz.Questions {
		a, ok := saved[q.ID]
		switch {
		case !ok:
			leave(q.ID, "not asked then")
		case !possible(q, a), a.Right != quiz.Right(q, a.Answer):
			leave(q.ID, "changed since")
		default:
			out.Answers[q.ID] = a.Answer
		}
	}
	message := fmt.Sprintf("the result is of another wording of the quiz (%s)", tidy(edition))
	if len(out.Answers) == 0 {
		g.fault(Fault{File: out.File, Lost: true, Message: message + ", and none of its questions is left", Do: "Mark it with the library as it was then."})
		return
	}
	if len(lost) == 0 {
		message += "; all questions could be carried over"
	} else {
		message += fmt.Sprintf("; carried over without %s", strings.Join(lost, ", "))
	}
	g.fault(Fault{File: out.File, Message: message})
	g.add(out)
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
