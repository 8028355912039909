// Package itemanalysis says what a class's answers tell about a quiz: how hard each
// question is, whether it tells strong learners from weak ones, which wrong
// choices are taken, how far the points can be trusted, and which steps were
// not understood. Pure functions on marked answers.
//
// A learner's score is the points of all right answers. A statistic that the
// answers cannot give, such as the correlation of a question that everybody had
// right, is NaN; see Known.
package itemanalysis

import (
	"math"
	"strconv"

	"matchmark/procedure"
	"matchmark/procedure/quiz"
)

// Class is the marked answers of a class: every learner answered the same questions.
type Class struct {
	Questions []Question
	// Answers holds a row for each learner, and in it an answer for each question.
	Answers [][]Answer
}

// Question is what the analysis needs to know of a question.
type Question struct {
	ID string
	// Points is what a right answer is worth, at least 1.
	Points int
	// Offered are the options that the question shows, counted as quiz.Answer
	// does; nil where learners write, point, or sort.
	Offered []Option
	// Key are the right ones of them.
	Key []Option
	// Step is the step that the question is about; may be empty.
	Step string
	// Critical is true when a wrong answer fails the quiz.
	Critical bool
}

// Answer is one learner's answer to one question.
type Answer struct {
	Right bool
	// Open is true when nothing was answered.
	Open bool
	// Options are what was taken; none for lines that were sorted, or where the
	// options are not known to be those of the question's present wording.
	Options []Option
}

// Option names one thing that can be answered: the number of a choice, a typed
// number with its unit, a target.
type Option string

// NewClass marks the answers of a class, one map of answers a learner.
// exact says of each learner whether the choices are those of the quiz as it is
// now; where they are not, only right and wrong count.
func NewClass(q *procedure.Quiz, answers []map[string]quiz.Answer, exact []bool) Class {
	var c Class
	for _, question := range q.Questions {
		c.Questions = append(c.Questions, newQuestion(question))
	}
	for i, given := range answers {
		var row []Answer
		for _, question := range q.Questions {
			from := given[question.ID]
			a := Answer{Right: quiz.Right(question, from), Open: from.Target == "" && from.Number == "" && len(from.Chosen) == 0}
			if exact[i] {
				a.Options = options(question, from)
			}
			row = append(row, a)
		}
		c.Answers = append(c.Answers, row)
	}
	return c
}

func newQuestion(from *procedure.Question) Question {
	q := Question{ID: from.ID, Points: from.Points, Step: from.Step.ID, Critical: from.Critical}
	switch from.Kind {
	case procedure.SingleChoice, procedure.SeveralChoice:
		for i := range from.Choices {
			q.Offered = append(q.Offered, option(i+1))
		}
	case procedure.TrueFalse:
		q.Offered = []Option{option(1), option(2)}
	default:
		return q
	}
	for _, right := range quiz.RightChoices(from) {
		q.Key = append(q.Key, option(right))
	}
	return q
}

// options are what an answer took.
func options(q *procedure.Question, a quiz.Answer) []Option {
	var out []Option
	switch {
	case a.Target != "":
		return []Option{Option(a.Target)}
	case a.Number != "":
		return []Option{Option(a.Number + " " + a.Unit)}
	case q.Kind == procedure.OrderAnswer:
		return nil // one wrong order is as good as another
	}
	for _, c := range a.Chosen {
		out = append(out, option(c))
	}
	return out
}

// Known reports whether a statistic has a value.
func Known(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// worth is what an answer to a question scores.
func (q Question) worth(a Answer) float64 {
	if a.Right {
		return float64(q.Points)
	}
	return 0
}

// column returns the points of all learners on one question.
func (c Class) column(question int) []float64 {
	out := make([]float64, len(c.Answers))
	for i, row := range c.Answers {
		out[i] = c.Questions[question].worth(row[question])
	}
	return out
}

// totals returns the points of all learners.
func (c Class) totals() []float64 {
	out := make([]float64, len(c.Answers))
	for i, row := range c.Answers {
		for k, a := range row {
			out[i] += c.Questions[k].worth(a)
		}
	}
	return out
}

// counts returns how many questions each learner had right.
func (c Class) counts() []float64 {
	out := make([]float64, len(c.Answers))
	for i, row := range c.Answers {
		for _, a := range row {
			if a.Right {
				out[i]++
			}
		}
	}
	return out
}

// option names a choice by its number, from 1.
func option(number int) Option { return Option(strconv.Itoa(number)) }
