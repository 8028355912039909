package check

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/quiz/bank"
	"matchmark/procedure/say"
)

var uncoveredCautions = rule{
	Rule: diagnostic.Rule{
		Code: "uncovered-caution", Severity: diagnostic.Advice, Title: "Nobody is asked about a danger",
		Wrong: "A procedure has a quiz, and no question of it is tied to this danger or warning.",
		Why:   "Whether a learner has understood what can kill is what the quiz is for.",
		Do:    "Ask about it: name its step in {step=name}, or its things in {about=name}.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		quizzes := quizzesOn(lib.Quizzes)
		for _, p := range lib.Procedures {
			questions, of := questionsOn(quizzes[p])
			if of == nil {
				continue // a procedure without a quiz is not asked about at all
			}
			for _, c := range bank.NewCoverage(p, questions).Uncovered() {
				report(diagnostic.Diagnostic{
					Span: c.Span, Wrong: say.That("no question on %part is tied to this %signal", say.Quote(p.ID), say.Name(c.Signal)),
					Advice: say.That("Ask about it, with {step=name} or {about=name}."),
					See:    []diagnostic.Related{{Span: of.Span, Says: say.That("the quiz")}},
				})
			}
		}
	},
}

// quizzesOn sorts quizzes by the procedure that they are on.
func quizzesOn(all []*procedure.Quiz) map[*procedure.Procedure][]*procedure.Quiz {
	out := map[*procedure.Procedure][]*procedure.Quiz{}
	for _, q := range all {
		out[q.Procedure] = append(out[q.Procedure], q)
	}
	return out
}

// questionsOn returns the questions of all quizzes on a procedure, and the first of these quizzes; nil when there is none.
func questionsOn(quizzes []*procedure.Quiz) (questions []*procedure.Question, first *procedure.Quiz) {
	for _, q := range quizzes {
		if first == nil {
			first = q
		}
		questions = append(questions, q.Questions...)
	}
	return questions, first
}
