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
			var p Passage
			switch b := b.(type) {
			case *procedure.Instruction:
				p = Passage{&b.Prose, Instruction}
			case *procedure.Caution:
				p = Passage{&b.Prose, Description}
			case *procedure.Tip:
				p = Passage{&b.Prose, Description}
			case *procedure.KeyPoint:
				p = Passage{&b.Reason, Description}
			default:
				continue
			}
			if !yield(p) {
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
// paragraph of the steps, those that the author adds to the way back included.
func (v *Vocabulary) Review(p *procedure.Procedure, language string, found func(in procedure.Paragraph, a Advice)) Counts {
	c := v.countProse(&p.About)
	for i, s := range p.WrittenSteps() {
		for passage := range Passages(s) {
			for _, q := range passage.Prose.Paragraphs {
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
	for _, q := range p.Paragraphs {
		c = c.Plus(v.Count(q.Text))
	}
	return c
}
