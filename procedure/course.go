package procedure

import (
	"matchmark/procedure/measure"
	"matchmark/procedure/text"
)

// Course orders procedures and quizzes into sessions.
type Course struct {
	ID       string
	Title    string
	Summary  string
	Span     text.Span
	About    Prose
	Sessions []Session
	File     *text.File
}

// Session is one meeting of the class.
type Session struct {
	Title string
	Items []CourseItem
}

// CourseItem is a procedure, from one step to another, or a quiz; exactly one pointer is set once resolved.
type CourseItem struct {
	Ref Ref
	// IsQuiz says which kind of thing the name names.
	IsQuiz bool
	// IsRefit is true when the refitting of the named procedure is meant.
	IsRefit   bool
	Procedure *Procedure
	Quiz      *Quiz
	// From and To limit the item to a run of steps; empty for the whole procedure.
	From, To Ref
}

// Quiz is a set of questions on one procedure.
type Quiz struct {
	ID      string
	Title   string
	Summary string
	Span    text.Span
	About   Prose
	// Procedure is resolved from ProcedureRef once the library is read.
	Procedure    *Procedure
	ProcedureRef Ref
	// Pass is the pass mark in percent of the points.
	Pass int
	// Seed fixes the shuffled order; with 0 nothing is shuffled.
	Seed int64
	// Tries is how often a learner may take it; 0 means no limit.
	Tries     int
	Questions []*Question
	File      *text.File
}

// QuestionKind is how a question is answered.
type QuestionKind string

// The kinds of question.
const (
	SingleChoice  QuestionKind = "single"
	SeveralChoice QuestionKind = "several"
	TrueFalse     QuestionKind = "true-false"
	NumberAnswer  QuestionKind = "number"
	OrderAnswer   QuestionKind = "order"
	PointAnswer   QuestionKind = "point"
)

// QuestionKinds lists the kinds in the order of the reference page.
var QuestionKinds = []QuestionKind{SingleChoice, SeveralChoice, TrueFalse, NumberAnswer, OrderAnswer, PointAnswer}

// Question is one question of a quiz.
type Question struct {
	ID     string
	Kind   QuestionKind
	Span   text.Span
	Stem   Prose
	Points int
	// Step is the step that the question is about; may be empty.
	Step Ref
	// Critical is true when a wrong answer fails the quiz whatever the score.
	Critical bool
	// Choices are the choices of a single, several or order question; an order question's are in the right order.
	Choices []Choice
	// True is the right answer of a true-false question.
	True bool
	// Number and Tolerance are the right answer of a number question.
	Number, Tolerance measure.Quantity
	// Figure and Target are the figure of a point question and the callout that is right.
	Figure, Target Ref
	// Why explains the right answer, shown after answering; may be empty.
	Why Prose
}

// Choice is one choice of a question.
type Choice struct {
	Prose    Prose
	Right    bool
	Feedback Prose
	Span     text.Span
}

// Limits is an acceptable range; a nil end is open. Both ends have one dimension.
type Limits struct {
	Low, High *measure.Quantity
}

// Contains reports whether a value lies within the limits, ends included.
func (l Limits) Contains(q measure.Quantity) bool {
	return (l.Low == nil || q.Compare(*l.Low) >= 0) && (l.High == nil || q.Compare(*l.High) <= 0)
}
