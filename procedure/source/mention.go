package source

import (
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/prose"
	"matchmark/procedure/refit"
)

// Names in code marks, such as `hoist-on`, read well in the source and badly at
// the bench. Once the machine is known they are replaced by what people call the thing.

// nameMentions rewrites the names that a procedure's steps, and those of its refitting, mention.
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
			c := procedure.Clone(b)
			for _, t := range procedure.Texts(c) {
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
	return slices.ContainsFunc(procedure.Texts(b), func(p *procedure.Prose) bool { return p.Has(prose.Mention) })
}

// named returns the prose with each mention of a step or a registered thing
// replaced by its title or name; what names nothing stays as it is.
func named(p procedure.Prose, in *procedure.Procedure) procedure.Prose {
	return p.With(prose.Mention, func(n *prose.Node) {
		if x := readingOf(n.To, in); x != nil {
			n.Kind, n.To, n.Text = prose.Value, x.Name, x.Label()+", "+x.Unit
			return
		}
		if words := wordsFor(n.To, in); words != "" {
			n.Text = words
		}
	})
}

// valueColumn stands behind the name of a reading whose value is shown.
const valueColumn = ".value"

// readingOf returns the value that a mention such as gap.value shows; nil when it shows none.
func readingOf(mention string, in *procedure.Procedure) *procedure.Reading {
	name, ok := strings.CutSuffix(mention, valueColumn)
	if !ok {
		return nil
	}
	for _, s := range in.WrittenSteps() {
		for _, b := range s.Blocks {
			if x := b.Shows().Readings; x != nil {
				for i := range x.Rows {
					if x.Rows[i].Name == name {
						return &x.Rows[i]
					}
				}
			}
		}
	}
	return nil
}

// wordsFor returns the title of a step or the name of a thing; empty when there is
// none. A step that is turned round is called by the title of the one that it turns round.
func wordsFor(id string, in *procedure.Procedure) string {
	if isValueRef(id) {
		return valueWords(id, in.Machine)
	}
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
	if removal, turned := strings.CutSuffix(id, refit.Suffix); turned {
		if s := in.Step(removal); s != nil {
			return s.Title
		}
	}
	return ""
}
