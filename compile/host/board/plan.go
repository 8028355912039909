// Package board works out what the trainer sees of a running class: who is at
// which step, what waits for a signature, what was found, how the quizzes went.
package board

import (
	"matchmark/procedure"
	"matchmark/procedure/record"
	"matchmark/procedure/rows"
)

// Plans are the jobs that a library knows, there and back.
type Plans struct {
	Library *procedure.Library
	plans   map[name]*Plan
}

type name struct{ procedure, variant string }

// Plan is a job as the library has it: the way out and the way back for one variant.
type Plan struct {
	Procedure *procedure.Procedure
	Variant   *procedure.Variant
	// Ways has the steps of each way; that of the way back is nil when nothing goes back.
	Ways map[record.Way]*procedure.Job
	// Holds are the hold points, in the order of work.
	Holds []HoldPoint
	// content is what a record of this text carries.
	content string
}

// HoldPoint is one with its rows, by their names in the step page.
type HoldPoint struct {
	Way record.Way
	// Step is the step's name, StepTitle what it is called; Title is the hold point's own.
	Step, StepTitle, Title string
	// Rows are the confirmations.
	Rows []Row
	// Signature is the row to sign; empty when nobody has to.
	Signature string
	// Who signs, in the author's words.
	Who string
}

// Row is a confirmation.
type Row struct{ ID, Text string }

// NewPlans reads a library whose ways back have been derived.
func NewPlans(lib *procedure.Library) *Plans {
	out := &Plans{Library: lib, plans: map[name]*Plan{}}
	for _, p := range lib.Procedures {
		if p.Forth != nil {
			continue
		}
		back := map[string]*procedure.Job{}
		if p.Back != nil {
			for _, j := range p.Back.Jobs() {
				back[variantID(j.Variant)] = j
			}
		}
		for _, j := range p.Jobs() {
			plan := &Plan{Procedure: p, Variant: j.Variant, Ways: map[record.Way]*procedure.Job{record.Out: j, record.Back: back[variantID(j.Variant)]}, content: record.Content(p)}
			for _, way := range []record.Way{record.Out, record.Back} {
				plan.Holds = append(plan.Holds, holdPoints(way, plan.Ways[way])...)
			}
			out.plans[name{p.ID, variantID(j.Variant)}] = plan
		}
	}
	return out
}

func variantID(v *procedure.Variant) string {
	if v == nil {
		return ""
	}
	return v.ID
}

// holdPoints lists the hold points of one way. The rows are named as in the step page.
func holdPoints(way record.Way, j *procedure.Job) []HoldPoint {
	if j == nil {
		return nil
	}
	var out []HoldPoint
	for _, s := range j.Steps {
		var at *procedure.Hold
		for _, row := range rows.Of(s) {
			if row.Hold == nil {
				continue
			}
			if row.Hold != at {
				at = row.Hold
				out = append(out, HoldPoint{Way: way, Step: s.ID, StepTitle: s.Title, Title: at.Title, Who: at.Signature})
			}
			point := &out[len(out)-1]
			if row.Confirmation < 0 {
				point.Signature = row.ID
				continue
			}
			point.Rows = append(point.Rows, Row{row.ID, at.Confirmations[row.Confirmation].Plain()})
		}
	}
	return out
}

// Of returns the plan of a procedure for a variant, or nil.
func (p *Plans) Of(procedure, variant string) *Plan { return p.plans[name{procedure, variant}] }

// Knows reports whether the library has a procedure, whatever the variant: a
// record of a variant that an older edition had is kept.
func (p *Plans) Knows(id string) bool {
	for _, x := range p.Library.Procedures {
		if x.ID == id && x.Forth == nil {
			return true
		}
	}
	return false
}

// Quiz returns the library's quiz of that name, or nil.
func (p *Plans) Quiz(id string) *procedure.Quiz {
	for _, q := range p.Library.Quizzes {
		if q.ID == id {
			return q
		}
	}
	return nil
}

// Signs reports whether a row of a record, by WAY/ROW, can be signed: the library
// has it, or a tablet of an older edition waits for it.
func (p *Plans) Signs(r *record.Record, key string) bool {
	if plan := p.Of(r.Procedure, r.Variant); plan != nil {
		for _, h := range plan.Holds {
			if h.Signature != "" && string(h.Way)+"/"+h.Signature == key {
				return true
			}
		}
	}
	for _, t := range r.Tablets {
		if t.Waits != "" && string(t.Way)+"/"+t.Waits == key {
			return true
		}
	}
	return false
}

// step finds a step and its place; nil when the library does not have it.
func (p *Plan) step(way record.Way, id string) (s *procedure.Step, of int) {
	if p == nil || p.Ways[way] == nil {
		return nil, 0
	}
	j := p.Ways[way]
	return j.Step(id), len(j.Steps)
}
