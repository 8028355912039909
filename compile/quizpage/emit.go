// Package quizpage emits the pages of a quiz: one to take it on the tablet, the
// printed forms with their answer sheets, and the answer key to all forms.
package quizpage

import (
	"fmt"
	"html/template"

	"matchmark/compile/output"
	"matchmark/compile/page"
	"matchmark/compile/picture"
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
		if err := emitQuiz(emitter{lib: lib, words: words, theme: theme, out: out, quiz: q, pictures: pictures}); err != nil {
			return err
		}
	}
	return nil
}

// EmitQuiz writes the pages of one quiz. It looks at nothing else of the library than its settings.
func EmitQuiz(lib *procedure.Library, pictures map[string]*picture.Picture, theme *themes.Theme, out output.Sink, q *procedure.Quiz) error {
	words, err := theme.Words(lib.Language)
	if err != nil {
		return err
	}
	return emitQuiz(emitter{lib: lib, words: words, theme: theme, out: out, quiz: q, pictures: pictures})
}

func emitQuiz(e emitter) error {
	if q := e.quiz; q.Procedure == nil || q.Procedure.Machine == nil {
		return fmt.Errorf("quiz %s: its procedure %q is not there", q.ID, q.ProcedureRef.ID)
	}
	return e.all()
}

// all writes the pages of one quiz.
func (e emitter) all() error {
	if err := e.take(); err != nil {
		return err
	}
	for form := 1; form <= formsOf(e.quiz); form++ {
		if err := e.form(form); err != nil {
			return err
		}
		if err := e.answers(form); err != nil {
			return err
		}
	}
	return e.key()
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
	Summary string
	About   template.HTML
	Subject page.Crumb
	// Papers are the forms, their answer sheets and the key.
	Papers    []page.Crumb
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
	v.Papers = e.papers(v.Shell)
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

// papers are the quiz's printable pages.
func (e emitter) papers(from page.Shell) []page.Crumb {
	var out []page.Crumb
	for form := 1; form <= formsOf(e.quiz); form++ {
		out = append(out, page.Crumb{Title: e.formName(e.words.T("quiz.form"), form), Link: from.Link(formAt(e.quiz, form))})
	}
	for form := 1; form <= formsOf(e.quiz); form++ {
		out = append(out, page.Crumb{Title: e.formName(e.words.T("quiz.answers"), form), Link: from.Link(answersAt(e.quiz, form))})
	}
	return append(out, page.Crumb{Title: e.words.T("quiz.key"), Link: from.Link(page.QuizKeyPath(e.quiz))})
}
