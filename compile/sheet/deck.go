package sheet

import (
	"html/template"

	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/assessment"
	"matchmark/procedure/state"
)

// deckView is a deck of large-type pages: the aims, then a page for each step that has something to show or to say, and what to ask.
type deckView struct {
	Head
	Limits string
	Aims   []string
	Pages  []deckPage
	// Ask are the questions at the end.
	Ask []string
}

// deckPage is one step: its pictures, each once in the deck, and what makes or breaks it.
type deckPage struct {
	Title    string
	Figures  []*page.Figure
	Cautions []page.Caution
	Points   []deckPoint
	Hold     string
}

type deckPoint struct {
	Point  string
	Reason template.HTML
}

func (e emitter) deck() error {
	h, err := e.head(Deck)
	if err != nil {
		return err
	}
	h.Styles = append(h.Styles, "deck.css")
	v := deckView{Head: h, Limits: e.words.T("paper.limits"), Aims: assessment.Aims(e.job.Procedure)}
	shown := map[string]bool{}
	for _, s := range e.job.Steps {
		p, err := e.deckPage(v.Shell, s, shown)
		if err != nil {
			return err
		}
		for _, x := range p.Points {
			v.Ask = append(v.Ask, e.words.T("paper.deck.why", s.Number, x.Point))
		}
		if p.Hold != "" {
			v.Ask = append(v.Ask, e.words.T("paper.deck.before", s.Number, p.Hold))
		}
		if len(p.Figures)+len(p.Cautions)+len(p.Points) > 0 || p.Hold != "" {
			v.Pages = append(v.Pages, p)
		}
	}
	return e.write(Deck, deckPages(v))
}

// deckPage is what a step shows; shown are the pictures that were shown before.
func (e emitter) deckPage(shell page.Shell, s *procedure.Step, shown map[string]bool) (deckPage, error) {
	p := deckPage{Title: stepTitle(s)}
	for _, id := range s.FigureNames() {
		f := e.job.Procedure.Figure(id)
		if shown[id] || f == nil || e.pictures == nil {
			continue
		}
		shown[id] = true
		drawn, err := page.NewFigure(shell, f, e.job.Machine, e.pictures)
		if err != nil {
			return p, err
		}
		p.Figures = append(p.Figures, drawn)
	}
	for _, b := range s.Blocks {
		content := b.Shows()
		if w := content.Warning; w != nil && w.Signal != procedure.Notice {
			p.Cautions = append(p.Cautions, page.Caution{Signal: w.Signal, Text: page.Markup(w.Prose)})
		}
		if k := content.Point; k != nil {
			p.Points = append(p.Points, deckPoint{k.Point, page.Inline(k.Reason)})
		}
	}
	if hold := state.Hold(s); hold != nil {
		p.Hold = hold.Title
	}
	return p, nil
}
