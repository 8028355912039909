// Package bank says which steps, cautions and hold points of a procedure have a
// question, and which have none.
//
// A question that names a step is tied to the step and to its hold point. It is
// tied to the step's cautions too, unless both say what they are about and share
// nothing. A question that names no step is tied to the cautions about the things
// that it is about.
package bank

import (
	"slices"

	"matchmark/procedure"
)

// Coverage is what questions there are on a procedure, step by step.
type Coverage struct {
	Steps []Step
	Aims  []Aim
	// Loose are the questions that are tied to no step and no caution.
	Loose []*procedure.Question
}

// Step is a step with the questions that name it.
type Step struct {
	Step      *procedure.Step
	Questions []*procedure.Question
	Cautions  []Caution
	Holds     []Hold
}

// Aim is one of the procedure's learning aims with the questions that test it.
type Aim struct {
	Words     string
	Questions []*procedure.Question
}

// Caution is a caution of a step with the questions tied to it.
type Caution struct {
	Caution   *procedure.Caution
	Questions []*procedure.Question
}

// Hold is a hold point of a step with the questions tied to it.
type Hold struct {
	Hold      *procedure.Hold
	Questions []*procedure.Question
}

// NewCoverage works out how questions cover a procedure. Steps and cautions of all variants count.
func NewCoverage(p *procedure.Procedure, questions []*procedure.Question) Coverage {
	var c Coverage
	tied := map[*procedure.Question]bool{}
	among := func(is func(*procedure.Question) bool) []*procedure.Question {
		var out []*procedure.Question
		for _, q := range questions {
			if is(q) {
				out = append(out, q)
				tied[q] = true
			}
		}
		return out
	}
	for i, s := range p.Steps {
		of := Step{Step: s, Questions: among(func(q *procedure.Question) bool { return q.Step.ID == s.ID })}
		for _, b := range s.Blocks {
			shown := b.Shows()
			if c := shown.Warning; c != nil && (i == 0 || !c.Repeats(s, p.Steps[i-1])) {
				of.Cautions = append(of.Cautions, Caution{c, among(func(q *procedure.Question) bool { return asksAbout(q, s, c) })})
			}
			if h := shown.Hold; h != nil {
				of.Holds = append(of.Holds, Hold{h, of.Questions})
			}
		}
		c.Steps = append(c.Steps, of)
	}
	for i, words := range p.Aims {
		aim := Aim{Words: words}
		for _, q := range questions {
			if q.Aim == i+1 {
				aim.Questions = append(aim.Questions, q)
			}
		}
		c.Aims = append(c.Aims, aim)
	}
	for _, q := range questions {
		if !tied[q] {
			c.Loose = append(c.Loose, q)
		}
	}
	return c
}

// asksAbout reports whether a question is tied to a caution of a step.
func asksAbout(q *procedure.Question, s *procedure.Step, c *procedure.Caution) bool {
	shared := slices.ContainsFunc(q.About, func(r procedure.Ref) bool {
		return slices.ContainsFunc(c.About, func(of procedure.Ref) bool { return of.ID == r.ID })
	})
	switch q.Step.ID {
	case "":
		return shared
	case s.ID:
		return shared || len(q.About) == 0 || len(c.About) == 0
	}
	return false
}

// Uncovered returns the cautions about injury, danger and warning, that no question is tied to.
func (c Coverage) Uncovered() []*procedure.Caution {
	var out []*procedure.Caution
	for _, s := range c.Steps {
		for _, x := range s.Cautions {
			if len(x.Questions) == 0 && Grave(x.Caution) {
				out = append(out, x.Caution)
			}
		}
	}
	return out
}

// Grave reports whether a caution warns of death or serious injury.
//
// Source: ANSI Z535.6, the meaning of the signal words danger and warning (from memory).
func Grave(c *procedure.Caution) bool {
	return c.Signal == procedure.Danger || c.Signal == procedure.WarningWord
}
