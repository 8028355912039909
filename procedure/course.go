package procedure

import (
	"slices"

	"matchmark/procedure/learning"
	"matchmark/procedure/measure"
	"matchmark/procedure/text"
)

// Course orders procedures and quizzes into sessions.
type Course struct {
	ID       string
	Title    string
	Summary  string
	Span     text.Span
	About    Prose `word:"introduction"`
	Sessions []Session
	Pace     Pace
	File     *text.File
}

// Pace says how a course's sessions are planned. Times are in minutes.
type Pace struct {
	// Learning is how much faster learners get; the zero Curve when the course states none.
	Learning learning.Curve
	// Stated is the repetition that the authors' times stand for, counted from 1.
	Stated int
	// People is how many work on one machine, and Crew, as far as stated, what trades and tickets each of them has.
	People int
	Crew   []Person
	// Shared is true when the course states who works on a machine, and not that they work together: then the plan shares the
	// work out among them.
	Shared bool `word:"-"` // follows from what is stated
	// Session is from the start of set-up to the end of clear-down.
	Session, SetUp, ClearDown float64
	// Break is how long a break takes, with 0 for none, and BreakEvery how many minutes are worked between breaks.
	Break, BreakEvery float64
	// Confidence is the chance with which a session must keep its length, from 0.5 to below 1.
	Confidence float64
	// CommonPace is the correlation of the times that a team takes for any two steps, from 0 to 1.
	CommonPace float64
	// Teams is how many teams work side by side.
	Teams int
	// Start is the time of day at which a session starts, in minutes past midnight.
	Start float64
}

// Person is one of those who work on a machine.
type Person struct{ Tickets []Ref }

// Has reports whether the person has one of the tickets.
func (p Person) Has(ticket string) bool {
	return slices.ContainsFunc(p.Tickets, func(r Ref) bool { return r.ID == ticket })
}

// UsualPace is what a course is planned with where it states nothing else: two
// people, three hours from 08:30, ten minutes to set up, fifteen to clear down
// and for a break after an hour and a half, kept nine times in ten. Authors'
// times are taken as those of somebody who does the job for the first time. There is one
// team; the times of two of its steps have a correlation of 0.3, until records say better.
//
// Source: common practice, no source.
func UsualPace() Pace {
	return Pace{
		Stated: 1, People: 2, Session: 180, SetUp: 10, ClearDown: 15,
		Break: 15, BreakEvery: 90, Confidence: 0.9, CommonPace: 0.3, Teams: 1, Start: 8*60 + 30,
	}
}

// Session is one meeting of the class.
type Session struct {
	Title string
	Span  text.Span // its title
	Items []CourseItem
}

// CourseItem is a procedure, from one step to another, or a quiz; exactly one pointer is set once resolved.
type CourseItem struct {
	Ref Ref
	// IsQuiz says which kind of thing the name names.
	IsQuiz bool
	// IsRefit is true when the refitting of the named procedure is meant.
	IsRefit   bool
	Procedure *Procedure `word:"-"`
	Quiz      *Quiz      `word:"-"`
	// From and To limit the item to a run of steps; empty for the whole procedure.
	From, To Ref
	// Prepared is the step after which the machine stands when the item begins, because somebody else has
	// brought it there, or PreparedWhole; empty when the course itself brings it there.
	Prepared Ref
}

// PreparedWhole says that a machine stands whole when an item of a course begins: it is another one, or was put back.
const PreparedWhole = "whole"

// Work is the procedure, or the refitting, that the item does; nil for a quiz, and where there is nothing to bring back.
func (i CourseItem) Work() *Procedure {
	if p := i.Procedure; p != nil && i.IsRefit {
		return p.Refitting
	}
	return i.Procedure
}

// Quiz is a set of questions on one procedure.
type Quiz struct {
	ID      string
	Title   string
	Summary string
	Span    text.Span
	About   Prose `word:"introduction"`
	// Procedure is resolved from ProcedureRef once the library is read.
	Procedure    *Procedure `word:"-"`
	ProcedureRef Ref        `word:"procedure"`
	// Pass is the pass mark in percent of the points.
	Pass     int
	PassSpan text.Span
	// Seed fixes the shuffled order; with 0 nothing is shuffled.
	Seed int64
	// Tries is how often a learner may take it; 0 means no limit.
	Tries int
	// Time is how long it takes, in minutes; its span points nowhere when it only follows from the number of questions.
	Time Estimate
	// Forms is how many printed forms there are, from 1; each has all questions in an order of its own.
	Forms int
	// Generate is how many questions, at most, are made from the procedure's own facts.
	Generate int
	// Without names the questions that are not to be made.
	Without []Ref
	// Questions are the author's, with those made behind them once they have been made.
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
	Step Ref `refers:"step"`
	// About lists the things that the question is about; may be empty.
	About []Ref `refers:"thing"`
	// Aim is the procedure's aim that the question tests, from 1; 0 for none.
	Aim     int
	AimSpan text.Span
	// Generated is true for a question that was made from the procedure's own facts.
	Generated bool `word:"-"` // where it comes from
	// Critical is true when a wrong answer fails the quiz whatever the score.
	Critical bool
	// Choices are the choices of a single, several or order question; an order question's are in the right order.
	Choices []Choice
	// True is the right answer of a true-false question.
	True bool `word:"answer"`
	// Number and Tolerance are the right answer of a number question.
	Number, Tolerance measure.Quantity
	// Figure and Target are the figure of a point question and the callout that is right.
	Figure Ref `refers:"figure"`
	Target Ref `refers:"thing"`
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
