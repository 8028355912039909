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
	"matchmark/procedure/quiz/collect"
	"matchmark/procedure/quiz/itemanalysis"
	"matchmark/themes"
)

// View is how a class did, in the words of the library's language.
type View struct {
	// Title is that of the page, Site the library's, Quiz the quiz's.
	Title, Site, Quiz string
	// Crumbs lead to the page where it does not lie by itself.
	Crumbs []page.Crumb
	// Wall is true for the page that the whole class looks at: large type, and nobody's name. Other leads from one page to the other one.
	Wall  bool
	Other page.Crumb
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

	from     *collect.Collection
	analysis itemanalysis.Analysis
}

// ForWall makes the view one for the whole class.
func (v *View) ForWall() { v.Wall, v.Learners = true, nil }

// class is that of the page's body.
func (v *View) class() string {
	if v.Wall {
		return "result-page wall"
	}
	return "result-page"
}

// Fact is a figure with what it means.
type Fact struct{ Name, Value, Meaning string }

// writer makes a view.
type writer struct {
	words    *themes.Words
	from     *collect.Collection
	quiz     *procedure.Quiz
	analysis itemanalysis.Analysis
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
	w := &writer{words: words, from: from, quiz: from.Quiz, pass: quiz.PointsToPass(from.Quiz)}
	w.count()
	left := w.analyse()
	v := &View{
		Title: words.T("result.title"), Site: page.SiteTitle(lib, words), Quiz: from.Quiz.Title,
		Summary: w.summary(left), Learners: w.learners(), lang: words.Lang, theme: theme,
		from: from, analysis: w.analysis,
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
	w.analysis = itemanalysis.Analyse(itemanalysis.NewClass(w.quiz, answers, exact))
	return left
}

// summary says the whole in sentences. Whoever cannot be marked may have passed or not: the
// interval holds both.
func (w *writer) summary(left int) []string {
	passed, marked, open, retried := 0, len(w.from.Learners), len(w.from.NotMarked), false
	for _, l := range w.from.Learners {
		if l.Last().Score.Passed {
			passed++
		}
		retried = retried || len(l.Tries) > 1
	}
	unmarked := 0
	for _, f := range w.from.Faults {
		if f.Code == collect.Unmarked {
			unmarked++
		}
	}
	var out []string
	if unmarked > 0 {
		out = append(out, w.words.Count("result.unmarked", unmarked))
	}
	if w.from.Unread > 0 {
		out = append(out, w.words.Count("result.unread", w.from.Unread))
	}
	if marked == 0 {
		if open > 0 {
			out = append(out, w.words.Count("result.open", open))
		}
		return append(out, w.words.T("result.nobody"))
	}
	all := marked + open
	low, _ := itemanalysis.Wilson(passed, all)
	_, high := itemanalysis.Wilson(passed+open, all)
	first := w.words.T("result.passed", passed, all, w.percent(float64(passed)/float64(all)))
	if open > 0 {
		first = w.words.T("result.passed.open", passed, all, marked-passed, w.words.Count("result.open", open))
	}
	out = append(append([]string{first}, out...), w.words.T("result.expect", w.percent(low), w.percent(high)))
	a := w.analysis
	if near := a.Near(w.deciding(), w.pass); near > 0 && a.Learners >= itemanalysis.TinyClass {
		out = append(out, w.words.Count("result.near", near, w.pass, w.number(a.SEM, 1)))
	}
	switch {
	case a.Learners == 0:
	case a.Learners < itemanalysis.TinyClass:
		out = append(out, w.words.T("result.tiny", a.Learners, itemanalysis.TinyClass))
	case a.Small():
		out = append(out, w.words.T("result.small", a.Learners))
	}
	if rate, judged := itemanalysis.RateOf(a.Learners); judged {
		out = append(out, w.words.T("result.rates", rate.Learners, rate.Doubted, rate.FoundWeak, rate.Found))
	}
	if d := a.Consistency(w.pass); a.Learners >= itemanalysis.TinyClass && itemanalysis.Known(d.Agreement) {
		out = append(out, w.words.T("result.again", w.number(100*d.Agreement, 0), w.number(100*d.Low, 0), w.number(100*d.High, 0), w.number(100*d.Chance, 0)))
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

// deciding are the points of the tries that count, of those learners for whom points decide: they
// answered the present questions, and no critical one of them fails the quiz whatever the points.
func (w *writer) deciding() []int {
	var out []int
	for _, l := range w.from.Learners {
		if last := l.Last(); len(last.Missing) == 0 && len(last.Score.CriticalWrong) == 0 {
			out = append(out, last.Score.Points)
		}
	}
	return out
}

// between is a figure with the limits that it has with 95 % confidence; a dash when there is none.
func (w *writer) between(x, low, high float64, decimals int) string {
	if !itemanalysis.Known(x) || !itemanalysis.Known(low) {
		return w.number(x, decimals)
	}
	return w.words.T("result.between", w.number(x, decimals), w.number(low, decimals), w.number(high, decimals))
}

// facts are the figures on the quiz as a whole: first how well it tells who passes, since that is what it is for.
func (w *writer) facts() []Fact {
	a := w.analysis
	d := a.Consistency(w.pass)
	same := Fact{w.words.T("result.same"), "–", w.words.T("result.same.few")}
	if a.Learners >= itemanalysis.TinyClass {
		same.Value, same.Meaning = w.between(100*d.Agreement, 100*d.Low, 100*d.High, 0), w.words.T("result.same.meaning", w.number(100*d.Chance, 0))
	}
	return []Fact{
		same,
		{w.words.T("result.mean"), w.words.T("result.of", w.number(a.Mean, 1), a.Most), ""},
		{w.words.T("result.sd"), w.number(a.SD, 1), ""},
		{"KR-20", w.between(a.KR20, a.KR20Low, a.KR20High, 2), w.words.T("result.kr20")},
		{"KR-21", w.number(a.KR21, 2), w.words.T("result.kr21")},
		{w.words.T("result.alpha"), w.between(a.Alpha, a.AlphaLow, a.AlphaHigh, 2), w.trust()},
		{w.words.T("result.sem"), w.number(a.SEM, 1), w.words.T("result.sem.meaning")},
	}
}

// trust says how far the points tell learners apart.
//
// Source: 0.7 for a reliability that will do: J. C. Nunnally, Psychometric Theory, 2nd ed. 1978, p. 245 (from memory); 0.5: common practice, no source.
// It says so only where the whole interval does.
func (w *writer) trust() string {
	switch a := w.analysis; {
	case !itemanalysis.Known(a.Alpha):
		return w.words.T("result.trust.none")
	case a.AlphaHigh < 0.5:
		return w.words.T("result.trust.low")
	case a.AlphaLow >= 0.7:
		return w.words.T("result.trust.fair")
	case a.AlphaLow >= 0.5 && a.AlphaHigh < 0.7:
		return w.words.T("result.trust.rough")
	}
	return w.words.T("result.trust.open")
}
