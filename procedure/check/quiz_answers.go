package check

import (
	"regexp"
	"strings"
	"unicode/utf8"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

// eachQuestion makes a rule's run of what it asks of each question that an author wrote.
func eachQuestion(ask func(q *procedure.Quiz, x *procedure.Question, report func(diagnostic.Diagnostic))) func(*procedure.Library, func(diagnostic.Diagnostic)) {
	return func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, q := range lib.Quizzes {
			for _, x := range q.Questions {
				if !x.Generated {
					ask(q, x, report)
				}
			}
		}
	}
}

// eachOrder makes a rule's run of what it asks of each order question that an author wrote, with what is worked out of its procedure.
func eachOrder(ask func(f *analysis.Procedure, x *procedure.Question, report func(diagnostic.Diagnostic))) func(*procedure.Library, func(diagnostic.Diagnostic)) {
	return func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		known := map[*procedure.Procedure]*analysis.Procedure{}
		eachQuestion(func(q *procedure.Quiz, x *procedure.Question, report func(diagnostic.Diagnostic)) {
			p := q.Procedure
			if x.Kind != procedure.OrderAnswer || p == nil || p.Machine == nil {
				return
			}
			if known[p] == nil {
				known[p] = analysis.New(p)
			}
			ask(known[p], x, report)
		})(lib, report)
	}
}

// An answer is longer by far from this share of the longest wrong one on, and from so many characters more; a little longer
// from shareLonger on. Common practice, no source: of item writers' rules, that options are alike in length.
const (
	shareByFar, moreByFar = 2.0, 20
	shareLonger           = 1.1
	// fewQuestions are too few to see a habit in; of manyQuestions, two thirds are one: of three choices each, chance makes one third.
	fewQuestions, manyQuestions = 4, 6
)

var longestAnswer = rule{
	Rule: diagnostic.Rule{
		Code: "longest-answer", Severity: diagnostic.Advice, Title: "The right answer is the longest",
		Wrong: "The right answer of a question is longer by far than all wrong ones, or the longest in most questions of a quiz: in all of four or five, in two of three of more.",
		Why:   "Whoever ticks the longest answer is right without knowing anything.",
		Do:    "Shorten the right answer, or say as much in the wrong ones.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, q := range lib.Quizzes {
			asked, longest := 0, 0
			var first *procedure.Question
			far := false
			for _, x := range q.Questions {
				right, wrong := lengths(x)
				if x.Generated || right == 0 || wrong == 0 {
					continue
				}
				asked++
				if float64(right) >= shareLonger*float64(wrong) {
					longest++
					if first == nil {
						first = x
					}
				}
				if float64(right) >= shareByFar*float64(wrong) && right-wrong >= moreByFar {
					far = true
					report(diagnostic.Diagnostic{
						Span: x.Span, Wrong: say.That("the right answer has %right characters, and the longest wrong one has %wrong", say.Count(right), say.Count(wrong)),
						Advice: say.That("Shorten the right answer, or say as much in the wrong ones."),
					})
				}
			}
			if !far && asked >= fewQuestions && (longest == asked || asked >= manyQuestions && 3*longest >= 2*asked) {
				report(diagnostic.Diagnostic{
					Span: first.Span, Wrong: say.That("in %longest of the %count questions of this quiz with one right answer it is the longest", say.Count(longest), say.Count(asked)),
					Advice: say.That("Write longer wrong answers in some of them."),
				})
			}
		}
	},
}

// lengths are the characters of the right answer of a question with one, and of the longest wrong one; 0 for other questions.
func lengths(x *procedure.Question) (right, wrong int) {
	if x.Kind != procedure.SingleChoice {
		return 0, 0
	}
	for _, c := range x.Choices {
		n := utf8.RuneCountInString(c.Prose.Plain())
		if c.Right {
			right = n
		} else {
			wrong = max(wrong, n)
		}
	}
	return right, wrong
}

var shuffledAnswer = rule{
	Rule: diagnostic.Rule{
		Code: "shuffled-answer", Severity: diagnostic.Advice, Title: "An answer that points to others",
		Wrong: "An answer speaks of the answers above, of all or of none of them, or of answers by letter or number.",
		Why:   "Answers are shuffled, and above is something else each time. Who sees that two are right ticks all of them.",
		Do:    "Write out what is meant, or ask for several right answers (type=several).",
	},
	run: eachQuestion(func(_ *procedure.Quiz, x *procedure.Question, report func(diagnostic.Diagnostic)) {
		for _, c := range x.Choices {
			if words := strings.TrimSpace(c.Prose.Plain()); x.Kind != procedure.OrderAnswer && pointsAway.MatchString(words) {
				report(diagnostic.Diagnostic{
					Span: c.Span, Wrong: say.That("answers are shuffled, and %words points to others", say.Quote(words)),
					Advice: say.That("Write out what is meant, or ask with type=several."),
				})
			}
		}
	}),
}

var pointsAway = regexp.MustCompile(`(?i)\b(?:all|none|both|any|either|neither|some) of (?:the )?(?:above|these|them|those|answers|other answers|others|other|two|previous)\b|\bthe above\b|\b(?:answers?|options?) (?:\d|[A-D]\b)|^(?:both )?[A-D] (?:and|or) [A-D]\b|^(?:everything|nothing|all) above\b|(?:alle|keine|beide)[sr]? (?:der |die )?(?:genannten|obigen|antworten|davon)|oben genannt`)

var feedbackMissing = rule{
	Rule: diagnostic.Rule{
		Code: "feedback-missing", Severity: diagnostic.Advice, Title: "An answer without its feedback",
		Wrong: "An answer of a question has no feedback, and others of it have one.",
		Why:   "Whoever ticks it learns nothing, and that is the one who needs it.",
		Do:    "Write below the answer why it is right or wrong, as a quotation.",
	},
	run: eachQuestion(func(_ *procedure.Quiz, x *procedure.Question, report func(diagnostic.Diagnostic)) {
		told := 0
		for _, c := range x.Choices {
			if !c.Feedback.Empty() {
				told++
			}
		}
		if told == 0 || !x.Why.Empty() {
			return
		}
		for _, c := range x.Choices {
			if c.Feedback.Empty() {
				report(diagnostic.Diagnostic{
					Span: c.Span, Wrong: say.That("this answer has no feedback, and %told of the others %told(has|have) one", say.Count(told)),
					Advice: say.That("Write below it why it is right or wrong: > No, that helps nothing."), See: []diagnostic.Related{{Span: x.Span, Says: say.That("the question")}},
				})
			}
		}
	}),
}
