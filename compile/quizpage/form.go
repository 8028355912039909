package quizpage

import (
	"html/template"
	"slices"
	"strings"

	"matchmark/compile/page"
	"matchmark/compile/sheet"
	"matchmark/procedure"
	"matchmark/procedure/quiz"
)

// Forms count from 1 and are called by letters: form 1 is A. Each holds all
// questions, so all forms cover the same steps; form 1 has the order of the
// first try on the tablet, form 2 that of the second.

// formsOf returns how many printed forms a quiz has.
func formsOf(q *procedure.Quiz) int { return max(1, q.Forms) }

// formAt is where a printed form is, and answersAt its answer sheet.
func formAt(q *procedure.Quiz, form int) string { return ofForm(page.QuizFormPath(q), form) }

func answersAt(q *procedure.Quiz, form int) string {
	return ofForm("quiz/"+q.ID+"/answers.html", form)
}

// ofForm puts a form's letter into the path of form A, which has none itself.
func ofForm(at string, form int) string {
	if form == 1 {
		return at
	}
	name, _ := strings.CutSuffix(at, ".html")
	return name + "-" + strings.ToLower(quiz.Letter(form-1)) + ".html"
}

// formName is what a form or its answer sheet is called; a quiz with one form needs no letter.
func (e emitter) formName(words string, form int) string {
	if formsOf(e.quiz) == 1 {
		return words
	}
	return e.words.T("quiz.form.letter", words, quiz.Letter(form-1))
}

// paperView is a form, its answer sheet, or the key.
type paperView struct {
	sheet.Head
	facts
	About     template.HTML
	Questions []question
	// Long is true when the answer sheet needs two columns.
	Long bool
}

// mostInColumn is how many questions an answer sheet has in one column.
const mostInColumn = 12

func (e emitter) form(form int) error {
	at := formAt(e.quiz, form)
	v, err := e.paper(at, e.formName(e.words.T("quiz.form"), form), form)
	if err != nil {
		return err
	}
	v.Fields = e.fields()
	if v.Code, err = sheet.NewCode(e.lib, page.QuizPath(e.quiz), e.words.T("quiz.form.code")); err != nil {
		return err
	}
	return page.Write(e.out, at, formPage(v))
}

// answers writes the sheet that a learner ticks beside a form, so that the form can be used again.
func (e emitter) answers(form int) error {
	at := answersAt(e.quiz, form)
	v, err := e.paper(at, e.formName(e.words.T("quiz.answers"), form), form)
	if err != nil {
		return err
	}
	v.Fields = e.fields()
	v.Long = len(v.Questions) > mostInColumn
	return page.Write(e.out, at, answersPage(v))
}

// fields are the lines that a learner fills in on top.
func (e emitter) fields() []string {
	return []string{e.words.T("quiz.form.name"), e.words.T("quiz.form.date"), e.words.T("quiz.form.score")}
}

func (e emitter) paper(at, kind string, form int) (paperView, error) {
	over := page.Crumb{Title: e.quiz.Title, Link: page.QuizPath(e.quiz)}
	v := paperView{Head: sheet.NewHead(e.lib, e.words, at, kind, e.quiz.Title, "", over), facts: factsOf(e.quiz), About: page.Markup(e.quiz.About)}
	v.On, v.Edition = e.quiz.Procedure.Title, e.words.T("quiz.edition", quiz.Edition(e.quiz))
	v.Styles = append(v.Styles, "quiz-paper.css")
	r := reader{quiz: e.quiz, shell: v.Shell, words: e.words, pictures: e.pictures}
	questions, err := r.questions(quiz.Arrange(e.quiz, form))
	v.Questions = questions
	return v, err
}

// RightLetters are the letters of a choice question's right choices, in the page's order.
func (q question) RightLetters() []string {
	var out []string
	for _, c := range q.Choices {
		if c.Right {
			out = append(out, c.Letter)
		}
	}
	return out
}

// Ordered are an order question's lines in the right order, each with its letter on the form.
func (q question) Ordered() []choice {
	lines := slices.Clone(q.Choices)
	slices.SortFunc(lines, func(a, b choice) int { return a.Value - b.Value })
	return lines
}
