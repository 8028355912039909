// Package quiz marks quizzes: which answer is right, what a try scores, and in
// which order a try shows its questions. Pure functions; the quiz page's script
// follows the same rules, and a test holds the two together.
//
// The rules of marking:
//
//   - A question is right or not; a right one gives all its points, any other
//     none. At the bench half of an isolation is no isolation, and a paper form
//     is marked alike by everybody.
//   - single: exactly the right choice.
//   - several: all right choices and no other.
//   - true-false: the right one of the two.
//   - number: within the limits that the tolerance gives, after exact
//     conversion between units; both limits count as right.
//   - order: every line in its place.
//   - point: the callout that the question asks for.
//   - A question left open is not right.
//   - The quiz is passed when the points reach the pass mark in percent of all
//     points, and every critical question is right.
package quiz

import (
	"slices"

	"matchmark/procedure"
)

// Answer is what a learner gave to one question. The zero Answer is a question left open.
type Answer struct {
	// Chosen holds the choices taken, counted from 1 in the author's order; for
	// an order question all of them in the learner's order; for a true-false
	// question 1 is true and 2 is false.
	Chosen []int `json:"chosen,omitempty"`
	// Number is what was typed, and Unit the symbol of the unit that it is in.
	Number string `json:"number,omitempty"`
	Unit   string `json:"unit,omitempty"`
	// Target is the callout pointed at: a fastener's number or a part's id.
	Target string `json:"target,omitempty"`
}

// Score is what a try comes to.
type Score struct {
	// Points of Of were reached. Percent is rounded down, so that a try short of
	// the pass mark never shows it.
	Points  int `json:"points"`
	Of      int `json:"of"`
	Percent int `json:"percent"`
	// Pass is the pass mark in percent.
	Pass int `json:"pass"`
	// CriticalWrong names the critical questions that are not right, in the author's order.
	CriticalWrong []string `json:"criticalWrong"`
	Passed        bool     `json:"passed"`
}

// Mark scores a try by the answers to its questions, found by the questions' ids.
func Mark(q *procedure.Quiz, answers map[string]Answer) Score {
	s := Score{Pass: q.Pass, CriticalWrong: []string{}}
	for _, question := range q.Questions {
		s.Of += question.Points
		switch {
		case Right(question, answers[question.ID]):
			s.Points += question.Points
		case question.Critical:
			s.CriticalWrong = append(s.CriticalWrong, question.ID)
		}
	}
	if s.Of > 0 {
		s.Percent = s.Points * 100 / s.Of
		s.Passed = s.Points*100 >= q.Pass*s.Of && len(s.CriticalWrong) == 0
	}
	return s
}

// PointsToPass returns the fewest points that reach the pass mark.
func PointsToPass(q *procedure.Quiz) int {
	total := 0
	for _, question := range q.Questions {
		total += question.Points
	}
	return (total*q.Pass + 99) / 100
}

// Right reports whether an answer to a question is right.
func Right(question *procedure.Question, a Answer) bool {
	switch question.Kind {
	case procedure.NumberAnswer:
		return rightNumber(question, a)
	case procedure.PointAnswer:
		return a.Target != "" && a.Target == question.Target.ID
	case procedure.OrderAnswer:
		return len(a.Chosen) > 0 && slices.Equal(a.Chosen, RightChoices(question))
	}
	chosen := slices.Clone(a.Chosen)
	slices.Sort(chosen)
	return len(chosen) > 0 && slices.Equal(chosen, RightChoices(question))
}

// RightChoices returns the choices of the right answer as Answer.Chosen counts
// them; nil for a number or point question.
func RightChoices(question *procedure.Question) []int {
	var right []int
	switch question.Kind {
	case procedure.TrueFalse:
		if question.True {
			return []int{1}
		}
		return []int{2}
	case procedure.SingleChoice, procedure.SeveralChoice, procedure.OrderAnswer:
		for i, c := range question.Choices {
			if c.Right || question.Kind == procedure.OrderAnswer {
				right = append(right, i+1)
			}
		}
	}
	return right
}
