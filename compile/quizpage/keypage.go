package quizpage

import (
	"fmt"
	"slices"
	"strings"

	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/quiz"
	"matchmark/procedure/quiz/bank"
)

// keyView is the trainer's page: the answers of all forms side by side, form A
// in full, and what the quiz covers.
type keyView struct {
	paperView
	// Forms are the letters of the forms, and Rows the answers to each number of each form.
	Forms    []string
	Rows     []answerRow
	Coverage []coverageRow
	// Aims are the procedure's learning aims with the numbers of their questions.
	Aims []tie
	// Loose are the numbers of the questions that are tied to no step.
	Loose string
}

// answerRow is one question number, with its right answer on each form.
type answerRow struct {
	Number  int
	Answers []string
}

// coverageRow is a step with the questions on it.
type coverageRow struct {
	Number    int
	Title     string
	Link      string
	Questions string
	Cautions  []tie
	Holds     []tie
}

// tie is a caution or hold point with the numbers of its questions. Grave is
// true when it warns of death or serious injury.
type tie struct {
	Words     string
	Questions string
	Grave     bool
}

func (e emitter) key() error {
	at := page.QuizKeyPath(e.quiz)
	first, err := e.paper(at, e.words.T("quiz.key"), 1)
	if err != nil {
		return err
	}
	v := keyView{paperView: first}
	for i := range v.Questions {
		v.Rows = append(v.Rows, answerRow{Number: i + 1})
	}
	for form := 1; form <= formsOf(e.quiz); form++ {
		p := first
		if form > 1 {
			if p, err = e.paper(at, "", form); err != nil {
				return err
			}
		}
		v.Forms = append(v.Forms, quiz.Letter(form-1))
		for i, q := range p.Questions {
			v.Rows[i].Answers = append(v.Rows[i].Answers, e.answer(q))
			if form > 1 {
				v.elsewhere(q.Index, quiz.Letter(form-1), i+1)
			}
		}
	}
	e.cover(&v)
	return page.Write(e.out, at, keyPage(v))
}

// elsewhere notes which number a question has on a further form.
func (v *keyView) elsewhere(index int, form string, number int) {
	for i := range v.Questions {
		if v.Questions[i].Index == index {
			v.Questions[i].Elsewhere = append(v.Questions[i].Elsewhere, fmt.Sprint(form, " ", number))
		}
	}
}

// answer is a right answer as it stands on a form: letters, numbers to write beside letters, or a quantity.
func (e emitter) answer(q question) string {
	switch q.Kind {
	case procedure.NumberAnswer:
		return q.Right
	case procedure.PointAnswer:
		var letters []string
		for _, t := range q.Targets {
			if t.Right {
				letters = append(letters, t.Letter)
			}
		}
		return strings.Join(letters, ", ")
	case procedure.OrderAnswer:
		var places []string
		for _, c := range q.Choices {
			places = append(places, fmt.Sprint(c.Letter, " ", c.Value))
		}
		return strings.Join(places, " · ")
	}
	return strings.Join(q.RightLetters(), ", ")
}

// cover fills in what the quiz covers, by the numbers of form A.
func (e emitter) cover(v *keyView) {
	numbers := map[string]int{}
	for _, q := range v.Questions {
		numbers[q.ID] = q.Number
	}
	list := func(questions []*procedure.Question) string { return numbersOf(questions, numbers) }
	r := reader{quiz: e.quiz, shell: v.Shell}
	covered := bank.NewCoverage(e.quiz.Procedure, e.quiz.Questions)
	for _, s := range covered.Steps {
		row := coverageRow{Number: s.Step.Number, Title: s.Step.Title, Questions: list(s.Questions)}
		if link := r.step(s.Step.ID); link != nil {
			row.Link = link.Link
		}
		for _, c := range s.Cautions {
			row.Cautions = append(row.Cautions, tie{e.words.T("signal." + string(c.Caution.Signal)), list(c.Questions), bank.Grave(c.Caution)})
		}
		for _, h := range s.Holds {
			row.Holds = append(row.Holds, tie{Words: h.Hold.Title, Questions: list(h.Questions)})
		}
		v.Coverage = append(v.Coverage, row)
	}
	for _, a := range covered.Aims {
		v.Aims = append(v.Aims, tie{Words: a.Words, Questions: list(a.Questions)})
	}
	v.Loose = list(covered.Loose)
}

// numbersOf lists questions by their numbers, the lowest first.
func numbersOf(questions []*procedure.Question, numbers map[string]int) string {
	var out []int
	for _, q := range questions {
		out = append(out, numbers[q.ID])
	}
	slices.Sort(out)
	return strings.Trim(strings.Join(strings.Fields(fmt.Sprint(out)), ", "), "[]")
}
