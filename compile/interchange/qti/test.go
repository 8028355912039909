package qti

import (
	"matchmark/procedure/quiz"
)

// test writes the assessment test: all questions in one section, one at a time,
// each answered once. The quiz is passed when the points reach the pass mark and
// every critical question has its points, as package procedure/quiz marks it.
func (e *emitter) test() []byte {
	total := 0
	for _, q := range e.questions {
		total += q.Points
	}
	d := e.root("qti-assessment-test", "quiz-"+e.quiz.ID, e.quiz.Title)
	d.declare("SCORE", "single", "float", "0.0")
	d.declare("MAXSCORE", "single", "float", decimal(total))
	d.declare("GRADE", "single", "identifier", "")
	d.start("qti-test-part", "identifier", "part", "navigation-mode", "nonlinear", "submission-mode", "individual")
	d.line()
	d.empty("qti-item-session-control", "max-attempts", "1", "show-feedback", "true", "allow-review", "true", "allow-skipping", "true")
	d.start("qti-assessment-section", "identifier", "section", "title", e.quiz.Title, "visible", "true", "keep-together", "true")
	d.line()
	if !e.quiz.About.Empty() {
		d.start("qti-rubric-block", "use", "instructions", "view", "candidate")
		d.start("qti-content-body")
		d.markup(e.quiz.About, true, e.address)
		d.end(2)
	}
	for _, q := range e.questions {
		d.empty("qti-assessment-item-ref", "identifier", q.ID, "href", itemFile(q.ID))
	}
	d.end(2)
	e.outcomes(d)
	for _, grade := range []struct{ id, word string }{{"passed", e.words.T("quiz.script.passed")}, {"failed", e.words.T("quiz.script.failed")}} {
		d.start("qti-test-feedback", "identifier", grade.id, "outcome-identifier", "GRADE", "access", "atEnd", "show-hide", "show", "title", e.words.T("quiz.result"))
		d.start("qti-content-body")
		d.leaf("p", grade.word)
		d.end(2)
	}
	return d.finish()
}

// outcomes writes the rules that sum up the points and grade them.
func (e *emitter) outcomes(d *document) {
	d.start("qti-outcome-processing")
	d.start("qti-set-outcome-value", "identifier", "SCORE")
	d.start("qti-sum")
	d.empty("qti-test-variables", "variable-identifier", "SCORE")
	d.end(2)
	d.start("qti-outcome-condition")
	d.start("qti-outcome-if")
	d.start("qti-and")
	d.atLeast("SCORE", decimal(quiz.PointsToPass(e.quiz)))
	for _, q := range e.questions {
		if q.Critical {
			d.atLeast(q.ID+".SCORE", decimal(q.Points))
		}
	}
	d.end(1)
	d.set("GRADE", "identifier", "passed")
	d.end(1)
	d.start("qti-outcome-else")
	d.set("GRADE", "identifier", "failed")
	d.end(3)
}

// atLeast writes the condition that a variable has a number or more.
func (d *document) atLeast(variable, number string) {
	d.start("qti-gte")
	d.empty("qti-variable", "identifier", variable)
	d.leaf("qti-base-value", number, "base-type", "float")
	d.end(1)
}
