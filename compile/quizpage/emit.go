// Package quizpage emits the pages of a quiz: one to take it on the tablet, the
// printed forms with their answer sheets, and the answer key to all forms.
package quizpage

import (
	"bytes"
	"fmt"
	"html/template"
	"slices"

	"matchmark/compile/output"
	"matchmark/compile/page"
	"matchmark/compile/picture"
	"matchmark/procedure"
	"matchmark/procedure/quiz"
	"matchmark/themes"
)

// EmitQuiz writes the pages of one quiz, the answer key among them.
func EmitQuiz(lib *procedure.Library, pictures map[string]*picture.Picture, theme *themes.Theme, out output.Sink, q *procedure.Quiz) error {
	e, err := newEmitter(lib, pictures, theme, out, q)
	if err != nil {
		return err
	}
	if err := e.forLearners(); err != nil {
		return err
	}
	return e.key()
}

// EmitForLearners writes the pages of one quiz but the answer key.
func EmitForLearners(lib *procedure.Library, pictures map[string]*picture.Picture, theme *themes.Theme, out output.Sink, q *procedure.Quiz) error {
	e, err := newEmitter(lib, pictures, theme, out, q)
	if err != nil {
		return err
	}
	return e.forLearners()
}

// newEmitter prepares the pages of one quiz. They look at nothing else of the library than its
// settings. A quiz whose procedure does not exist is an error: the checks come before.
func newEmitter(lib *procedure.Library, pictures map[string]*picture.Picture, theme *themes.Theme, out output.Sink, q *procedure.Quiz) (*emitter, error) {
	words, err := theme.Words(lib.Language)
	if err != nil {
		return nil, err
	}
	if q.Procedure == nil || q.Procedure.Machine == nil {
		return nil, fmt.Errorf("quiz %s: its procedure %q is not there", q.ID, q.ProcedureRef.ID)
	}
	return &emitter{lib: lib, words: words, out: out, quiz: q, pictures: pictures}, nil
}

// forLearners writes what learners see: the quiz, its forms and their answer sheets.
func (e emitter) forLearners() error {
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
	return nil
}

type emitter struct {
	lib      *procedure.Library
	words    *themes.Words
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
	// SearchScript puts a search box before the first question.
	SearchScript string
	// Papers are the forms and their answer sheets.
	Papers    []page.Crumb
	Marking   key
	Questions []question
}

func (e emitter) take() error {
	v, err := e.taken(page.NewShell(e.lib, e.words, page.QuizPath(e.quiz), e.quiz.Title))
	if err != nil {
		return err
	}
	return page.Write(e.out, page.QuizPath(e.quiz), takePage(v))
}

// Alone is the page on which a quiz is taken as one that lies by itself, with the names of the assets that
// it loads. script is one more of them, which runs before the quiz's own.
func Alone(lib *procedure.Library, pictures map[string]*picture.Picture, words *themes.Words, q *procedure.Quiz, script string) (content []byte, assets []string, err error) {
	s := page.NewShell(lib, words, page.QuizPath(q), q.Title)
	s.Alone, s.Address, s.Crumbs = true, lib.Address, nil
	v, err := emitter{lib: lib, words: words, quiz: q, pictures: pictures}.taken(s)
	if err != nil {
		return nil, nil, err
	}
	v.Scripts = slices.Insert(v.Scripts, len(v.Scripts)-1, script)
	var b bytes.Buffer
	err = page.Render(&b, takePage(v))
	return b.Bytes(), v.Assets(), err
}

// taken is the view of the page on which the quiz is taken.
func (e emitter) taken(s page.Shell) (v takeView, err error) {
	v = takeView{Shell: s, facts: factsOf(e.quiz), Summary: e.quiz.Summary, About: page.Markup(e.quiz.About)}
	v.Subject = page.Crumb{Title: e.quiz.Procedure.Title, Link: v.Way(page.ProcedurePath(e.quiz.Procedure))}
	if !v.Alone {
		v.Crumbs = append(v.Crumbs, v.Subject)
		v.Papers = e.papers(s)
	}
	v.SearchScript = s.Link(page.AssetPath(page.SearchScript))
	v.Search = false // the answers are in the steps, and a quiz asks what is known without them: the box stands before its first question
	v.Body, v.Styles, v.Scripts = "quiz-page", []string{"quiz.css"}, []string{"quiz-marking.js", "hold.js", "quiz.js"}
	if v.Marking, err = newKey(e.quiz); err != nil {
		return v, fmt.Errorf("quiz %s: %w", e.quiz.ID, err)
	}
	var authors []quiz.Place
	for i, question := range e.quiz.Questions {
		place := quiz.Place{Question: i}
		for c := range question.Choices {
			place.Choices = append(place.Choices, c)
		}
		authors = append(authors, place)
	}
	v.Questions, err = reader{quiz: e.quiz, shell: v.Shell, words: e.words, pictures: e.pictures}.questions(authors)
	return v, err
}

// papers are the quiz's printable pages for learners. The key is the trainer's: no page of a learner's leads to it.
func (e emitter) papers(from page.Shell) []page.Crumb {
	var out []page.Crumb
	for form := 1; form <= formsOf(e.quiz); form++ {
		out = append(out, page.Crumb{Title: e.formName(e.words.T("quiz.form"), form), Link: from.Link(formAt(e.quiz, form))})
	}
	for form := 1; form <= formsOf(e.quiz); form++ {
		out = append(out, page.Crumb{Title: e.formName(e.words.T("quiz.answers"), form), Link: from.Link(answersAt(e.quiz, form))})
	}
	return out
}
