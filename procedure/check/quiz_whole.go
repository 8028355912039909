package check

import (
	"math"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/claims"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/quiz/bank"
	"matchmark/procedure/say"
)

var aimUntested = rule{
	Rule: diagnostic.Rule{
		Code: "aim-untested", Severity: diagnostic.Advice, Title: "An aim without a question",
		Wrong: "A procedure has a quiz, and no question of it tests one of its aims.",
		Why:   "The certificate says what nobody has asked.",
		Do:    "Name the aim in the question that tests it: aim=2.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		quizzes := quizzesOn(lib.Quizzes)
		for _, p := range lib.Procedures {
			questions, of := questionsOn(quizzes[p])
			if of == nil {
				continue
			}
			for i, aim := range bank.NewCoverage(p, questions).Aims {
				if len(aim.Questions) == 0 {
					report(diagnostic.Diagnostic{
						Span: of.ProcedureRef.Span, Wrong: say.That("no question tests aim %number of %procedure: %aim", say.Count(i+1), say.Quote(p.ID), say.Quote(aim.Words)),
						Advice: say.That("Write aim=%number into the question that tests it.", say.Count(i+1)),
					})
				}
			}
		}
	},
}

var orderEitherWay = rule{
	Rule: diagnostic.Rule{
		Code: "order-either-way", Severity: diagnostic.Advice, Title: "An order question with two right orders",
		Wrong: "Two lines of an order question are steps that could change places, and only one order counts as right.",
		Why:   "Whoever has understood the job and says it the other way round fails.",
		Do:    "Ask for steps of which one must come before the other, or state after= where the order matters.",
	},
	run: eachOrder(eitherWay),
}

// eitherWay reports neighbours in the right order that could change places in every variant that has both.
func eitherWay(f *analysis.Procedure, x *procedure.Question, report func(diagnostic.Diagnostic)) {
	for i := 1; i < len(x.Choices); i++ {
		first, second := free(f, x.Choices[i-1].Prose.Plain(), x.Choices[i].Prose.Plain())
		if first == nil {
			continue
		}
		wrong := say.That("steps %first and %second could change places, and only one order counts as right", say.Name(first.ID), say.Name(second.ID))
		if x.Critical {
			wrong = say.That("steps %first and %second could change places, and whoever says so fails the whole quiz: the question is critical", say.Name(first.ID), say.Name(second.ID))
		}
		report(diagnostic.Diagnostic{
			Span: x.Choices[i].Span, Wrong: wrong, Advice: say.That("Ask for steps of which one must come before the other, or state after=%first in step %second.", say.Name(first.ID), say.Name(second.ID)),
			See: []diagnostic.Related{{Span: x.Span, Says: say.That("the question")}, {Span: second.Span, Says: say.That("the step")}},
		})
		return
	}
}

// free returns the two steps that lines name, when neither must come before the other; nil when one must, or when a line names none.
func free(f *analysis.Procedure, line, next string) (first, second *procedure.Step) {
	for _, j := range f.Jobs {
		a, b := claims.StepNamed(line, j.Steps), claims.StepNamed(next, j.Steps)
		if a < 0 || b < 0 || a == b {
			continue
		}
		if j.Order().Before(a, b) || j.Order().Before(b, a) {
			return nil, nil
		}
		first, second = j.Steps[a], j.Steps[b]
	}
	return first, second
}

// passedByChance is the share of guesses from which a pass mark is called too low, and leastMinutes the least time for a
// question. Common practice, no source.
const (
	passedByChance = 0.1
	leastMinutes   = 0.5
)

var passByGuess = rule{
	Rule: diagnostic.Rule{
		Code: "pass-by-guess", Severity: diagnostic.Advice, Title: "A pass mark that guessing reaches",
		Wrong: "Whoever ticks at random passes the quiz more often than one time in ten.",
		Why:   "The quiz then says nothing of what somebody knows.",
		Do:    "Raise the pass mark, ask more questions, or make those critical that must be right.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, q := range lib.Quizzes {
			if len(q.Questions) < fewQuestions && q.Pass >= 50 || q.Generate > 0 {
				continue // a few questions tell little whatever the mark, and generated ones are not there yet
			}
			if p := guessed(q); p > passedByChance {
				report(diagnostic.Diagnostic{
					Span: q.PassSpan, Wrong: say.That("whoever guesses passes this quiz in %share of 100 tries: the pass mark is %pass percent", say.Count(int(math.Round(100*p))), say.Count(q.Pass)),
					Advice: say.That("Raise the pass mark, or ask more questions."),
				})
			}
		}
	},
}

// guessed is the chance of passing by guessing: every question is all or nothing, and a critical one must be right.
func guessed(q *procedure.Quiz) float64 {
	of := 0
	for _, x := range q.Questions {
		of += x.Points
	}
	// at[n] is the chance of n points so far, with all critical questions right.
	at := make([]float64, of+1)
	at[0] = 1
	for _, x := range q.Questions {
		p := chance(x)
		for n := of; n >= 0; n-- {
			right := 0.0
			if n >= x.Points {
				right = at[n-x.Points] * p
			}
			wrong := at[n] * (1 - p)
			if x.Critical {
				wrong = 0
			}
			at[n] = right + wrong
		}
	}
	sum := 0.0
	for n, p := range at {
		if of > 0 && n*100 >= q.Pass*of {
			sum += p
		}
	}
	return sum
}

// chance is that of guessing one question right.
func chance(x *procedure.Question) float64 {
	n := float64(len(x.Choices))
	switch x.Kind {
	case procedure.TrueFalse:
		return 0.5
	case procedure.SingleChoice:
		return 1 / max(n, 1)
	case procedure.SeveralChoice:
		return 1 / (math.Pow(2, n) - 1)
	case procedure.OrderAnswer:
		return 1 / math.Gamma(n+1)
	case procedure.PointAnswer:
		return 1.0 / 3
	}
	return 0
}

var quizTime = rule{
	Rule: diagnostic.Rule{
		Code: "quiz-time", Severity: diagnostic.Advice, Title: "Too little time for a quiz",
		Wrong: "The time that a quiz states is less than half a minute for each question.",
		Why:   "Who reads to the end is marked down, and who guesses is not.",
		Do:    "State more time, or none: then it follows from the number of questions.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, q := range lib.Quizzes {
			asked := len(q.Questions)
			if !q.Time.Span.Valid() || asked == 0 || q.Time.Likely >= leastMinutes*float64(asked) {
				continue
			}
			report(diagnostic.Diagnostic{
				Span: q.Time.Span, Wrong: say.That("%questions questions do not go into %minutes min", say.Count(asked), say.Decimal{Value: q.Time.Likely, Places: say.Shortest}),
				Advice: say.That("State more time, or take the field out."),
			})
		}
	},
}
