package wording

import (
	"iter"

	"matchmark/procedure"
)

// Role is what a passage is for.
type Role int

// The roles.
const (
	Instruction Role = iota // tells the learner what to do
	Description             // explains, warns or gives a reason
)

// Passage is a piece of running text in its role.
type Passage struct {
	Prose *procedure.Prose
	Role  Role
}

// Passages goes through the running text of a step, in order. Titles, key points,
// confirmations, limits and reasons of a kept fastener are not running text.
func Passages(s *procedure.Step) iter.Seq[Passage] {
	return func(yield func(Passage) bool) {
		for _, b := range s.Blocks {
			shown := b.Shows()
			if w := shown.Warning; w != nil && !yield(Passage{&w.Prose, Description}) ||
				shown.Text != nil && !yield(Passage{shown.Text, Instruction}) ||
				shown.Point != nil && !yield(Passage{&shown.Point.Reason, Description}) ||
				shown.Must != nil && !yield(Passage{shown.Must, Description}) ||
				shown.Advice != nil && !yield(Passage{shown.Advice, Description}) {
				return
			}
		}
	}
}

// CountProcedure counts the running text of a procedure: its introduction and
// the passages of its steps, of all variants.
func (v *Vocabulary) CountProcedure(p *procedure.Procedure) Counts {
	c := v.countProse(&p.About)
	for _, s := range p.Steps {
		for passage := range Passages(s) {
			c = c.Plus(v.countProse(passage.Prose))
		}
	}
	return c
}

// Review counts as CountProcedure does, and on the way gives the advice on each
// paragraph of the steps, those that the author adds to the refitting included.
func (v *Vocabulary) Review(p *procedure.Procedure, language string, found func(in procedure.Paragraph, a Advice)) Counts {
	c := v.countProse(&p.About)
	for i, s := range p.WrittenSteps() {
		for passage := range Passages(s) {
			for _, q := range passage.Prose.Paragraphs() {
				if i < len(p.Steps) {
					c = c.Plus(v.Count(q.Text))
				}
				for _, a := range v.Check(q.Text, passage.Role, language) {
					found(q, a)
				}
			}
		}
	}
	return c
}

func (v *Vocabulary) countProse(p *procedure.Prose) Counts {
	var c Counts
	for _, q := range p.Paragraphs() {
		c = c.Plus(v.Count(q.Text))
	}
	return c
}
