package wording

import "matchmark/procedure"

// Role is what a passage is for.
type Role int

// The roles.
const (
	Instruction Role = iota // tells the learner what to do
	Description             // explains, warns or gives a reason
)

// Passage is a piece of running text in its role.
type Passage struct {
	Prose procedure.Prose
	Role  Role
}

// Passages returns the running text of a step, in order. Titles, key points,
// confirmations, limits and reasons of a kept fastener are not running text.
func Passages(s *procedure.Step) []Passage {
	var out []Passage
	for _, b := range s.Blocks {
		switch b := b.(type) {
		case *procedure.Instruction:
			out = append(out, Passage{b.Prose, Instruction})
		case *procedure.Caution:
			out = append(out, Passage{b.Prose, Description})
		case *procedure.Tip:
			out = append(out, Passage{b.Prose, Description})
		case *procedure.KeyPoint:
			out = append(out, Passage{b.Reason, Description})
		}
	}
	return out
}

// CountProcedure counts the running text of a procedure: its introduction and
// the passages of its steps, of all variants.
func CountProcedure(p *procedure.Procedure) Counts {
	known := map[string]int{} // syllables: a procedure uses few words, and those often
	c := countProse(p.About, known)
	for _, s := range p.Steps {
		for _, passage := range Passages(s) {
			c = c.Plus(countProse(passage.Prose, known))
		}
	}
	return c
}
