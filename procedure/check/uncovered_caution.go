package check

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/quiz/bank"
)

var uncoveredCautions = rule{
	diagnostic.Rule{
		Code: "uncovered-caution", Severity: diagnostic.Advice, Title: "Nobody is asked about a danger",
		Wrong: "A procedure has a quiz, and no question of it is tied to this danger or warning.",
		Why:   "Whether a learner has understood what can kill is what the quiz is for.",
		Do:    "Ask about it: name its step in {step=name}, or its things in {about=name}.",
	},
	func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, p := range lib.Procedures {
			questions, of := questionsOn(lib, p)
			if of == nil {
				continue // a procedure without a quiz is not asked about at all
			}
			for _, c := range bank.Of(p, questions).Uncovered() {
				report(diagnostic.Diagnostic{
					Span: c.Span, Message: "no question on " + quote(p.ID) + " is tied to this " + string(c.Signal),
					Do:  "Ask about it, with {step=name} or {about=name}.",
					See: []diagnostic.Related{{Span: of.Span, Why: "the quiz"}},
				})
			}
		}
	},
}

// questionsOn returns the questions of all quizzes on a procedure, and the first of these quizzes; nil when there is none.
func questionsOn(lib *procedure.Library, p *procedure.Procedure) (questions []*procedure.Question, first *procedure.Quiz) {
	for _, q := range lib.Quizzes {
		if q.Procedure != p {
			continue
		}
		if first == nil {
			first = q
		}
		questions = append(questions, q.Questions...)
	}
	return questions, first
}
