// Package classresult tells a trainer how a class did in a quiz: who passed, which
// question is bad, and which step was not understood. As text for a terminal, as
// one self-contained page, and as a table; all from one view, so they say the same.
package classresult

import (
	"fmt"
	"html/template"

	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/quiz"
	"matchmark/procedure/quiz/analysis"
	"matchmark/procedure/quiz/collect"
	"matchmark/themes"
)

// View is how a class did, in the words of the library's language.
type View struct {
	// Title is that of the page, Site the library's, Quiz the quiz's.
	Title, Site, Quiz string
	// Crumbs lead to the page where it does not lie by itself.
	Crumbs []page.Crumb
	// Summary says in sentences who passed and how far that can be trusted.
	Summary []string
	// Learners are sorted by name.
	Learners []Learner
	// Look are the questions that need a look, the worst first; Steps the steps
	// that were not understood, the least understood first.
	Look  []Question
	Steps []Step
	// Questions are all questions by their number on the form.
	Questions []Question
	// Facts are the figures on the quiz as a whole.
	Facts []Fact
	// Scores and Answers are the two plots.
	Scores, Answers template.HTML

	lang  string
	theme *themes.Theme
}

// Language makes a view a themes.View.
func (v *View) Language() string { return v.lang }

// Here is the page's short name at the end of the crumbs.
func (v *View) Here() string { return v.Title }

// Fact is a figure with what it means.
type Fact struct{ Name, Value, Meaning string }

// writer makes a view.
type writer struct {
	words    *themes.Words
	from     *collect.Collection
	quiz     *procedure.Quiz
	analysis analysis.Analysis
	// numbers are the questions' numbers on the form, by their place in the quiz.
	numbers []int
	pass    int
	// exact is how many learners answered the present wording.
	exact int
}

// New makes the view of a collection. The error is about the theme, or a language without words.
func New(lib *procedure.Library, from *collect.Collection) (*View, error) {
	theme, err := themes.Load()
	if err != nil {
		return nil, fmt.Errorf("loading the theme: %w", err)
	}
	words, err := theme.Words(lib.Language)
	if err != nil {
		return nil, err
	}
	w := &writer{words: words, from: from, quiz: from.Quiz, pass: quiz.PointsToPass(from.Quiz), numbers: make([]int, len(from.Quiz.Questions))}
	for i, place := range quiz.Arrange(from.Quiz, 1) {
		w.numbers[place.Question] = i + 1
	}
	left := w.analyse()
	v := &View{
		Title: words.T("result.title"), Site: page.SiteTitle(lib, words), Quiz: from.Quiz.Title,
		Summary: w.summary(left), Learners: w.learners(), lang: words.Lang, theme: theme,
	}
	if w.analysis.Learners > 0 {
		v.Questions, v.Look = w.questions()
		v.Steps, v.Facts = w.steps(), w.facts()
		v.Scores, v.Answers = w.drawScores(), w.drawAnswers(v.Questions)
	}
	return v, nil
}

// analyse works out the figures on the questions from first tries that answer
// for all of them, and returns how many learners that leaves out.
func (w *writer) analyse() (left int) {
	var answers []map[string]quiz.Answer
	var exact []bool
	for _, l := range w.from.Learners {
		if first := l.First(); len(first.Missing) == 0 {
			answers, exact = append(answers, first.Answers), append(exact, first.Exact)
			if first.Exact {
				w.exact++
			}
		} else {
			left++
		}
	}
	w.analysis = analysis.Of(analysis.NewClass(w.quiz, answers, exact))
	return left
}

// summary says the whole in sentences.
func (w *writer) summary(left int) []string {
	passed, all, retried := 0, len(w.from.Learners), false
	for _, l := range w.from.Learners {
		if l.Last().Score.Passed {
			passed++
		}
		retried = retried || len(l.Tries) > 1
	}
	if all == 0 {
		return []string{w.words.T("result.nobody")}
	}
	low, high := analysis.Wilson(passed, all)
	out := []string{
		w.words.T("result.passed", passed, all, w.percent(float64(passed)/float64(all))),
		w.words.T("result.expect", w.percent(low), w.percent(high)),
	}
	a := w.analysis
	if near := a.Near(w.pass); near > 0 && a.Learners >= analysis.TinyClass {
		out = append(out, w.words.Count("result.near", near, w.pass, w.number(a.SEM, 1)))
	}
	switch {
	case a.Learners == 0:
	case a.Learners < analysis.TinyClass:
		out = append(out, w.words.T("result.tiny", a.Learners, analysis.TinyClass))
	case a.Small():
		out = append(out, w.words.T("result.small", a.Learners))
	}
	if retried {
		out = append(out, w.words.T("result.first"))
	}
	if n := a.Learners - w.exact; n > 0 {
		out = append(out, w.words.Count("result.inexact", n))
	}
	if left > 0 {
		out = append(out, w.words.Count("result.left", left))
	}
	return out
}

// facts are the figures on the quiz as a whole.
func (w *writer) facts() []Fact {
	a := w.analysis
	return []Fact{
		{w.words.T("result.mean"), w.words.T("result.of", w.number(a.Mean, 1), a.Most), ""},
		{w.words.T("result.sd"), w.number(a.SD, 1), ""},
		{"KR-20", w.number(a.KR20, 2), w.words.T("result.kr20")},
		{"KR-21", w.number(a.KR21, 2), w.words.T("result.kr21")},
		{w.words.T("result.alpha"), w.number(a.Alpha, 2), w.trust()},
		{w.words.T("result.sem"), w.number(a.SEM, 1), w.words.T("result.sem.meaning")},
	}
}

// trust says how far the points tell learners apart.
//
// Source: 0.7 for a reliability that will do: J. C. Nunnally, Psychometric Theory, 2nd ed. 1978, p. 245 (from memory); 0.5: common practice, no source.
func (w *writer) trust() string {
	switch alpha := w.analysis.Alpha; {
	case !analysis.Known(alpha):
		return w.words.T("result.trust.none")
	case alpha < 0.5:
		return w.words.T("result.trust.low")
	case alpha < 0.7:
		return w.words.T("result.trust.rough")
	}
	return w.words.T("result.trust.fair")
}
