// Package quizpage emits the three pages of a quiz: one to take it on the
// tablet, a paper form, and the answer key to the form.
package quizpage

import (
	"fmt"
	"html/template"
	"slices"

	"matchmark/compile/output"
	"matchmark/compile/page"
	"matchmark/compile/picture"
	"matchmark/compile/sheet"
	"matchmark/procedure"
	"matchmark/procedure/quiz"
	"matchmark/themes"
)

// Emit writes the pages of all quizzes of a library. A quiz whose procedure
// does not exist is an error: the checks come before.
func Emit(lib *procedure.Library, pictures map[string]*picture.Picture, theme *themes.Theme, out output.Sink) error {
	words, err := theme.Words(lib.Language)
	if err != nil {
		return err
	}
	for _, q := range lib.Quizzes {
		if q.Procedure == nil || q.Procedure.Machine == nil {
			return fmt.Errorf("quiz %s: its procedure %q is not there", q.ID, q.ProcedureRef.ID)
		}
		e := emitter{lib: lib, words: words, theme: theme, out: out, quiz: q, pictures: pictures}
		for _, emit := range []func() error{e.take, e.form, e.key} {
			if err := emit(); err != nil {
				return err
			}
		}
	}
	return nil
}

type emitter struct {
	lib      *procedure.Library
	words    *themes.Words
	theme    *themes.Theme
	out      output.Sink
	quiz     *procedure.Quiz
	pictures map[string]*picture.Picture
}

// facts are what a learner wants to know before starting.
type facts struct {
	Count, Points, Pass, PointsToPass, Critical, Tries int
}

func factsOf(q *procedure.Quiz) facts {
	f := facts{Count: len(q.Questions), Pass: q.Pass, PointsToPass: quiz.PointsToPass(q), Tries: q.Tries}
	for _, question := range q.Questions {
		f.Points += question.Points
		if question.Critical {
			f.Critical++
		}
	}
	return f
}

// takeView is the page on which the quiz is taken. Its questions stand in the
// author's order; the script arranges each try.
type takeView struct {
	page.Shell
	facts
	Summary   string
	About     template.HTML
	Subject   page.Crumb
	Form, Key string
	Marking   key
	Questions []question
}

func (e emitter) take() error {
	at := page.QuizPath(e.quiz)
	v := takeView{Shell: page.NewShell(e.lib, e.words, at, e.quiz.Title), facts: factsOf(e.quiz), Summary: e.quiz.Summary, About: page.Markup(e.quiz.About)}
	v.Subject = page.Crumb{Title: e.quiz.Procedure.Title, Link: v.Link(page.ProcedurePath(e.quiz.Procedure))}
	v.Crumbs = append(v.Crumbs, v.Subject)
	v.Search = false // the answers are in the steps, and a quiz asks what is known without them
	v.Body, v.Styles, v.Scripts = "quiz-page", []string{"quiz.css"}, []string{"quiz-marking.js", "quiz.js"}
	v.Form, v.Key = v.Link(page.QuizFormPath(e.quiz)), v.Link(page.QuizKeyPath(e.quiz))
	var err error
	if v.Marking, err = newKey(e.quiz); err != nil {
		return fmt.Errorf("quiz %s: %w", e.quiz.ID, err)
	}
	var authors []quiz.Place
	for i, question := range e.quiz.Questions {
		place := quiz.Place{Question: i}
		for c := range question.Choices {
			place.Choices = append(place.Choices, c)
		}
		authors = append(authors, place)
	}
	r := reader{quiz: e.quiz, shell: v.Shell, words: e.words, pictures: e.pictures}
	if v.Questions, err = r.questions(authors); err != nil {
		return err
	}
	return page.Write(e.theme, e.out, at, "quiz/take", v)
}

// paperView is the form or its answer key: the same questions in the same order.
type paperView struct {
	sheet.Head
	facts
	About     template.HTML
	Questions []question
}

func (e emitter) form() error {
	v, err := e.paper(page.QuizFormPath(e.quiz), e.words.T("quiz.form"))
	if err != nil {
		return err
	}
	v.Fields = []string{e.words.T("quiz.form.name"), e.words.T("quiz.form.date"), e.words.T("quiz.form.score")}
	if v.Code, err = sheet.NewCode(e.lib, page.QuizPath(e.quiz), e.words.T("quiz.form.code")); err != nil {
		return err
	}
	return page.Write(e.theme, e.out, page.QuizFormPath(e.quiz), "quiz/form", v)
}

func (e emitter) key() error {
	v, err := e.paper(page.QuizKeyPath(e.quiz), e.words.T("quiz.key"))
	if err != nil {
		return err
	}
	return page.Write(e.theme, e.out, page.QuizKeyPath(e.quiz), "quiz/key", v)
}

func (e emitter) paper(at, kind string) (paperView, error) {
	over := page.Crumb{Title: e.quiz.Title, Link: page.QuizPath(e.quiz)}
	v := paperView{Head: sheet.NewHead(e.lib, e.words, at, kind, e.quiz.Title, "", over), facts: factsOf(e.quiz), About: page.Markup(e.quiz.About)}
	v.On, v.Edition = e.quiz.Procedure.Title, e.words.T("quiz.edition", quiz.Edition(e.quiz))
	r := reader{quiz: e.quiz, shell: v.Shell, words: e.words, pictures: e.pictures}
	questions, err := r.questions(quiz.Arrange(e.quiz, 1))
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
