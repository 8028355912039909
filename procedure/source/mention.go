package source

import (
	"slices"
	"strings"

	"github.com/yuin/goldmark/util"

	"matchmark/procedure"
	"matchmark/procedure/refit"
)

// Names in code marks, such as `hoist-on`, read well in the source and badly at
// the bench. Once the machine is known they are replaced by what people call the thing.

// nameMentions rewrites the names that a procedure's steps, and those of its way back, mention.
func nameMentions(p *procedure.Procedure) {
	nameStepMentions(p.WrittenSteps(), p)
	p.About = named(p.About, p)
}

// nameStepMentions rewrites the names that steps of a procedure mention.
func nameStepMentions(steps []*procedure.Step, p *procedure.Procedure) {
	for _, s := range steps {
		// Blocks of shared steps belong to several procedures: change copies only.
		s.Blocks = slices.Clone(s.Blocks)
		for i, b := range s.Blocks {
			if !mentions(b) {
				continue
			}
			c := b.Clone()
			for _, t := range c.Texts() {
				*t = named(*t, p)
			}
			s.Blocks[i] = c
		}
	}
}

// nameQuizMentions rewrites the names that a quiz's questions mention.
func nameQuizMentions(q *procedure.Quiz) {
	if q.Procedure == nil {
		return
	}
	for _, x := range q.Questions {
		x.Stem, x.Why = named(x.Stem, q.Procedure), named(x.Why, q.Procedure)
		for i := range x.Choices {
			c := &x.Choices[i]
			c.Prose, c.Feedback = named(c.Prose, q.Procedure), named(c.Feedback, q.Procedure)
		}
	}
}

func mentions(b procedure.Block) bool {
	return slices.ContainsFunc(b.Texts(), func(p *procedure.Prose) bool { return len(p.Mentions) > 0 })
}

// named returns the prose with each mention of a step or a registered thing
// replaced by its title or name; what names nothing stays as it is.
func named(p procedure.Prose, in *procedure.Procedure) procedure.Prose {
	if len(p.Mentions) == 0 {
		return p
	}
	p.Paragraphs = slices.Clone(p.Paragraphs)
	for _, m := range p.Mentions {
		words := wordsFor(m.ID, in)
		if words == "" {
			continue
		}
		markup := `<em class="mention">` + string(util.EscapeHTML([]byte(words))) + `</em>`
		p.Markup = strings.ReplaceAll(p.Markup, "<code>"+m.ID+"</code>", markup)
		for i := range p.Paragraphs {
			p.Paragraphs[i] = withWords(p.Paragraphs[i], m, words)
		}
	}
	return p
}

// wordsFor returns the title of a step or the name of a thing; empty when there is
// none. A step that is turned round is called by the title of the one that it turns round.
func wordsFor(id string, in *procedure.Procedure) string {
	for _, s := range in.WrittenSteps() {
		if s.ID == id {
			return s.Title
		}
	}
	if in.Machine != nil {
		if t := in.Machine.Thing(id); t != nil {
			return t.Row.Name
		}
	}
	if forth, turned := strings.CutSuffix(id, refit.Suffix); turned {
		if s := in.Step(forth); s != nil {
			return s.Title
		}
	}
	return ""
}

// withWords replaces a mention in a paragraph's plain text; the places of the pieces behind it move along.
func withWords(q procedure.Paragraph, m procedure.Ref, words string) procedure.Paragraph {
	for i, piece := range q.Pieces {
		if piece.Span != m.Span {
			continue
		}
		q.Text = q.Text[:piece.At] + words + q.Text[piece.At+len(m.ID):]
		q.Pieces = slices.Clone(q.Pieces)
		for j := i + 1; j < len(q.Pieces); j++ {
			q.Pieces[j].At += len(words) - len(m.ID)
		}
		break
	}
	return q
}
