package quizpage

import (
	"fmt"
	"html/template"

	"matchmark/compile/page"
	"matchmark/compile/picture"
	"matchmark/procedure"
	"matchmark/procedure/quiz"
	"matchmark/themes"
)

// question is a question as all three pages of a quiz show it.
type question struct {
	// Index counts from 0 in the author's order, Number from 1 on the page.
	Index, Number int
	ID            string
	Kind          procedure.QuestionKind
	Points        int
	Critical      bool
	Stem          template.HTML
	// Choices are those of a single, several, true-false or order question.
	Choices []choice
	// Units are offered with a number; Unit is the one that the answer is stated in.
	Units []string
	Unit  string
	// Right is the right number in words, or the right target's letter and name.
	Right string
	// Figure and Targets belong to a point question.
	Figure  *page.Figure
	Targets []target
	Why     template.HTML
	// Generated is true for a question made from the procedure's own facts.
	Generated bool
	// Elsewhere says which numbers it has on the forms behind form A, such as "B 7"; only the key has them.
	Elsewhere []string
	// Step leads to the step that the question is about; nil when it names none.
	Step *stepLink
}

// choice is one choice, or one line of an order question.
type choice struct {
	// Value counts from 1 in the author's order.
	Value  int
	Letter string
	// Text has no paragraphs, so that it can stand in a label; Plain has no markup.
	Text     template.HTML
	Plain    string
	Right    bool
	Feedback template.HTML
	// From is the choice as the author wrote it, for forms other than a page.
	From procedure.Choice
}

// target is a place on the figure of a point question.
type target struct {
	Thing  string
	Letter string
	Name   string
	Right  bool
}

type stepLink struct {
	Title string
	Link  string
}

// Is reports whether the question is of a kind.
func (q question) Is(kind string) bool { return string(q.Kind) == kind }

// reader makes questions of one quiz for one page.
type reader struct {
	quiz     *procedure.Quiz
	shell    page.Shell
	words    *themes.Words
	pictures map[string]*picture.Picture
}

// questions returns the questions in the order of an arrangement.
func (r reader) questions(places []quiz.Place) ([]question, error) {
	var out []question
	for i, place := range places {
		q, err := r.question(place)
		if err != nil {
			return nil, fmt.Errorf("quiz %s: question %s: %w", r.quiz.ID, q.ID, err)
		}
		q.Number = i + 1
		out = append(out, q)
	}
	return out, nil
}

func (r reader) question(place quiz.Place) (question, error) {
	from := r.quiz.Questions[place.Question]
	q := question{
		Index: place.Question, ID: from.ID, Kind: from.Kind, Points: from.Points, Critical: from.Critical,
		Generated: from.Generated,
		Stem:      page.Markup(from.Stem), Why: page.Markup(from.Why), Step: r.step(from.Step.ID),
	}
	switch from.Kind {
	case procedure.TrueFalse:
		q.Choices = []choice{
			{Value: 1, Letter: quiz.Letter(0), Plain: r.words.T("quiz.true"), Right: from.True},
			{Value: 2, Letter: quiz.Letter(1), Plain: r.words.T("quiz.false"), Right: !from.True},
		}
		for i := range q.Choices {
			q.Choices[i].From.Prose = procedure.Words(from.Span, q.Choices[i].Plain)
			q.Choices[i].Text = page.Inline(q.Choices[i].From.Prose)
		}
	case procedure.NumberAnswer:
		err := r.number(&q, from)
		return q, err
	case procedure.PointAnswer:
		err := r.point(&q, from)
		return q, err
	default:
		for i, c := range place.Choices {
			from := from.Choices[c]
			q.Choices = append(q.Choices, choice{
				Value: c + 1, Letter: quiz.Letter(i), From: from,
				Text: page.Inline(from.Prose), Plain: from.Prose.Plain(),
				Right: from.Right, Feedback: page.Markup(from.Feedback),
			})
		}
	}
	return q, nil
}

// number adds the units on offer and the right number in words.
func (r reader) number(q *question, from *procedure.Question) error {
	q.Unit = from.Number.Unit()
	q.Units = from.Number.Dimension().Units()
	low, high, err := quiz.Limits(from)
	if err != nil {
		return err
	}
	q.Right = r.shell.Quantity(from.Number)
	if !low.Equal(high) {
		q.Right = r.words.T("quiz.between", q.Right, r.shell.Quantity(low), r.shell.Quantity(high))
	}
	return nil
}

// point adds the figure with letters in place of what would give the answer away.
func (r reader) point(q *question, from *procedure.Question) error {
	figure := r.quiz.Procedure.Figure(from.Figure.ID)
	if figure == nil {
		return fmt.Errorf("there is no figure %q", from.Figure.ID)
	}
	f, err := page.NewFigure(r.shell, figure, r.quiz.Procedure.Machine, r.pictures)
	if err != nil {
		return err
	}
	for i, b := range f.Balloons {
		t := target{Thing: b.Thing, Letter: quiz.Letter(i), Name: b.Name, Right: b.Thing == from.Target.ID}
		if t.Right {
			q.Right = r.words.T("quiz.target.right", t.Letter, b.Text, b.Name)
		}
		b.Text, b.Name = t.Letter, r.words.T("quiz.target")
		q.Targets = append(q.Targets, t)
	}
	q.Figure = f
	if q.Right == "" {
		return fmt.Errorf("figure %s has no balloon for %q", figure.ID, from.Target.ID)
	}
	return nil
}

// step leads to the first variant's step view that has the step.
func (r reader) step(id string) *stepLink {
	p := r.quiz.Procedure
	if id == "" || p == nil {
		return nil
	}
	variants := []*procedure.Variant{nil}
	if p.Machine != nil && len(p.Machine.Variants) > 0 {
		variants = p.Machine.Variants
	}
	for _, v := range variants {
		for _, s := range p.Steps {
			if s.ID == id && procedure.AppliesTo(s.Variants, v) {
				job := procedure.Job{Procedure: p, Variant: v}
				return &stepLink{Title: s.Title, Link: r.shell.Way(page.StepsPath(&job) + "#" + id)}
			}
		}
	}
	return nil
}
