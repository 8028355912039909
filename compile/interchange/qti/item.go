package qti

import (
	"fmt"
	"strings"

	"matchmark/compile/quizpage"
	"matchmark/procedure"
	"matchmark/procedure/quiz"
)

// answer is how a kind of question is answered in QTI.
type answer struct {
	cardinality, kind string
	// right are the values of the right answer.
	right []string
	// condition writes when the answer is right.
	condition func(*document)
	// interaction writes what the learner acts on.
	interaction func(*document)
}

// item writes a question as an assessment item.
func (e *emitter) item(q quizpage.Question, f *pointFigure) ([]byte, error) {
	a, err := e.answer(q, f)
	if err != nil {
		return nil, err
	}
	source := e.quiz.Questions[q.Index]
	d := e.root("qti-assessment-item", q.ID, source.Stem.Plain(), "adaptive", "false", "time-dependent", "false", "xml:lang", e.words.Lang)
	d.start("qti-response-declaration", "identifier", "RESPONSE", "cardinality", a.cardinality, "base-type", a.kind)
	d.start("qti-correct-response")
	for _, value := range a.right {
		d.leaf("qti-value", value)
	}
	d.end(2)
	d.declare("SCORE", "single", "float", "0.0", "normal-maximum", decimal(q.Points))
	d.declare("MAXSCORE", "single", "float", decimal(q.Points))
	d.declare("VERDICT", "single", "identifier", "")
	if explains(q) {
		d.declare("FEEDBACK", "multiple", "identifier", "")
	}
	d.start("qti-item-body")
	d.line()
	d.start("div")
	d.markup(source.Stem, true, e.address)
	d.end(1)
	if q.Is("several") {
		d.leaf("p", e.words.T("quiz.several.how"))
	}
	a.interaction(d)
	d.end(1)
	e.processing(d, q, a)
	e.verdicts(d, q)
	return d.finish(), nil
}

// explains reports whether a choice of the question has feedback of its own.
func explains(q quizpage.Question) bool {
	for _, c := range q.Choices {
		if c.Feedback != "" {
			return true
		}
	}
	return false
}

func choiceID(value int) string { return fmt.Sprintf("choice-%d", value) }

// answer finds the interaction for a kind of question.
func (e *emitter) answer(q quizpage.Question, f *pointFigure) (answer, error) {
	correct := func(d *document) {
		d.start("qti-match")
		d.empty("qti-variable", "identifier", "RESPONSE")
		d.empty("qti-correct", "identifier", "RESPONSE")
		d.end(1)
	}
	a := answer{cardinality: "single", kind: "identifier", condition: correct}
	switch q.Kind {
	case procedure.NumberAnswer:
		low, high, err := quiz.Limits(e.quiz.Questions[q.Index])
		if err != nil {
			return a, err
		}
		a.kind, a.right = "float", []string{quizpage.Digits(e.quiz.Questions[q.Index].Number)}
		a.condition = func(d *document) { between(d, quizpage.Digits(low), quizpage.Digits(high)) }
		a.interaction = func(d *document) { e.number(d, q) }
	case procedure.OrderAnswer:
		a.cardinality = "ordered"
		for _, c := range q.Ordered() {
			a.right = append(a.right, choiceID(c.Value))
		}
		a.interaction = func(d *document) {
			d.start("qti-order-interaction", "response-identifier", "RESPONSE", "shuffle", "false", "orientation", "vertical")
			e.choices(d, q)
			d.end(1)
		}
	case procedure.PointAnswer:
		a.right = f.right[:1]
		a.condition = func(d *document) { oneOf(d, f.right) }
		a.interaction = func(d *document) { f.interaction(d) }
	default:
		most := "1"
		if q.Is("several") {
			a.cardinality, most = "multiple", "0"
		}
		for _, c := range q.Choices {
			if c.Right {
				a.right = append(a.right, choiceID(c.Value))
			}
		}
		a.interaction = func(d *document) {
			d.start("qti-choice-interaction", "response-identifier", "RESPONSE", "shuffle", "false", "max-choices", most)
			e.choices(d, q)
			d.end(1)
		}
	}
	return a, nil
}

// choices writes the choices in the order of the paper form.
func (e *emitter) choices(d *document, q quizpage.Question) {
	d.line()
	for _, c := range q.Choices {
		id := choiceID(c.Value)
		d.start("qti-simple-choice", "identifier", id)
		d.markup(c.From.Prose.Inline(), false, e.address)
		if c.Feedback != "" {
			d.text(" ")
			d.start("qti-feedback-inline", "outcome-identifier", "FEEDBACK", "identifier", id, "show-hide", "show")
			d.text("— ")
			d.markup(c.From.Feedback, false, e.address)
			d.close()
		}
		d.end(1)
	}
}

// halfTyped is what a number may look like while it is typed: some players look
// at the mask at every key.
const halfTyped = `[+\-]?[0-9]*[.]?[0-9]*`

// number writes a text entry with the unit behind it.
func (e *emitter) number(d *document, q quizpage.Question) {
	d.start("p")
	d.empty("qti-text-entry-interaction", "response-identifier", "RESPONSE", "expected-length", "10", "pattern-mask", halfTyped)
	d.text(" " + q.Unit)
	d.end(1)
	d.leaf("p", e.words.T("export.number"))
}

// between writes the condition that the answer lies within limits, both included.
func between(d *document, low, high string) {
	d.start("qti-and")
	d.atLeast("RESPONSE", low)
	d.start("qti-lte")
	d.empty("qti-variable", "identifier", "RESPONSE")
	d.leaf("qti-base-value", high, "base-type", "float")
	d.end(2)
}

// oneOf writes the condition that the answer is one of some identifiers.
func oneOf(d *document, ids []string) {
	d.start("qti-member")
	d.empty("qti-variable", "identifier", "RESPONSE")
	d.start("qti-multiple")
	for _, id := range ids {
		d.leaf("qti-base-value", id, "base-type", "identifier")
	}
	d.end(2)
}

// processing writes the rules that mark the answer: a right one has all points,
// any other none. The choices that were taken and the right ones explain themselves.
func (e *emitter) processing(d *document, q quizpage.Question, a answer) {
	d.start("qti-response-processing")
	if explains(q) {
		d.start("qti-set-outcome-value", "identifier", "FEEDBACK")
		d.start("qti-multiple")
		d.empty("qti-variable", "identifier", "RESPONSE")
		d.empty("qti-correct", "identifier", "RESPONSE")
		d.end(2)
	}
	d.start("qti-response-condition")
	d.start("qti-response-if")
	d.start("qti-is-null")
	d.empty("qti-variable", "identifier", "RESPONSE")
	d.end(1)
	d.set("VERDICT", "identifier", "open")
	d.end(1)
	d.start("qti-response-else-if")
	a.condition(d)
	d.start("qti-set-outcome-value", "identifier", "SCORE")
	d.empty("qti-variable", "identifier", "MAXSCORE")
	d.end(1)
	d.set("VERDICT", "identifier", "right")
	d.end(1)
	d.start("qti-response-else")
	d.set("VERDICT", "identifier", "wrong")
	d.end(3)
}

// verdicts writes what is said about the whole answer: right or not, the right
// answer unless it was given, and why.
func (e *emitter) verdicts(d *document, q quizpage.Question) {
	for _, v := range []struct{ id, word string }{
		{"right", e.words.T("quiz.script.right")}, {"wrong", e.words.T("quiz.script.wrong")}, {"open", e.words.T("quiz.script.left-open")},
	} {
		d.start("qti-modal-feedback", "outcome-identifier", "VERDICT", "identifier", v.id, "show-hide", "show", "title", v.word)
		d.start("qti-content-body")
		if v.id != "right" {
			e.solution(d, q)
		} else if q.Why == "" && q.Step == nil {
			d.leaf("p", v.word) // nothing to add to the title
		}
		d.markup(e.quiz.Questions[q.Index].Why, true, e.address)
		d.line()
		if q.Step != nil {
			e.step(d, q)
		}
		d.end(2)
	}
}

// solution states the right answer.
func (e *emitter) solution(d *document, q quizpage.Question) {
	switch {
	case q.Is("order"):
		d.leaf("p", e.words.T("quiz.order.right"))
		d.start("ol")
		for _, c := range q.Ordered() {
			d.start("li")
			d.markup(c.From.Prose.Inline(), false, e.address)
			d.end(1)
		}
		d.end(1)
	case q.Right != "":
		d.leaf("p", e.words.T("quiz.right", q.Right))
	default:
		var right []string
		for _, c := range q.Choices {
			if c.Right {
				right = append(right, c.Plain)
			}
		}
		d.leaf("p", e.words.T("quiz.right", strings.Join(right, " · ")))
	}
}

// step names the step that the question is about.
func (e *emitter) step(d *document, q quizpage.Question) {
	d.start("p")
	text := e.words.T("quiz.step", q.Step.Title)
	if to := e.address(q.Step.Link); to != "" {
		d.start("a", "href", to)
		d.text(text)
		d.close()
	} else {
		d.text(text)
	}
	d.end(1)
}
