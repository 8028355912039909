// Package board works out what the trainer sees of a running class: who is at
// which step, what waits for a signature, what was found, how the quizzes went.
package board

import (
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/quiz"
	"matchmark/procedure/quiz/collect"
	"matchmark/procedure/record"
	"matchmark/procedure/rows"
)

// Plans are the jobs that a library knows, there and back.
type Plans struct {
	Library *procedure.Library
	// Wordings are those in which the quizzes were ever served.
	Wordings []quiz.Wording
	plans    map[name]*Plan
}

type name struct{ procedure, variant string }

// Plan is a job as the library has it: the removal and the refitting for one variant.
type Plan struct {
	Procedure *procedure.Procedure
	Variant   *procedure.Variant
	// Ways has the steps of each way; that of the refitting is nil when nothing goes back.
	Ways map[record.Phase]*procedure.Job
	// Holds are the hold points, in the order of work.
	Holds []HoldPoint
	// ends are the minutes after which a way's steps are done as planned.
	ends map[record.Phase]map[string]float64
	// content is what a record of this text carries.
	content string
}

// HoldPoint is one with its rows, by their names in the step page, or a finding that stops the work.
type HoldPoint struct {
	Way record.Phase
	// Step is the step's name, StepTitle what it is called; Title is the hold point's own.
	Step, StepTitle, Title string
	// Number is that of the step.
	Number int
	// Rows are the confirmations.
	Rows []Row
	// Signature is the row to sign; empty when nobody has to.
	Signature string
	// Who signs, in the author's words.
	Who string
	// Finding is the name of the finding that stops the work, and text what it says; both are empty for a hold point.
	Finding, text string
}

// Row is a confirmation.
type Row struct{ ID, Text string }

// NewPlans reads a library whose refittings have been derived.
func NewPlans(lib *procedure.Library, wordings []quiz.Wording) *Plans {
	out := &Plans{Library: lib, Wordings: wordings, plans: map[name]*Plan{}}
	for _, p := range lib.Procedures {
		if p.Removal != nil {
			continue
		}
		back := map[string]*procedure.Job{}
		if p.Refitting != nil {
			for _, j := range p.Refitting.Jobs() {
				back[variantID(j.Variant)] = j
			}
		}
		for _, j := range p.Jobs() {
			plan := &Plan{Procedure: p, Variant: j.Variant, Ways: map[record.Phase]*procedure.Job{record.Removal: j, record.Refitting: back[variantID(j.Variant)]}, content: record.Content(p)}
			plan.ends = map[record.Phase]map[string]float64{}
			for _, way := range record.Phases {
				plan.ends[way] = ends(plan.Ways[way])
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
func holdPoints(way record.Phase, j *procedure.Job) []HoldPoint {
	if j == nil {
		return nil
	}
	var out []HoldPoint
	for _, s := range j.Steps {
		var at *procedure.Hold
		for _, row := range rows.List(s) {
			if row.Hold == nil {
				continue
			}
			if row.Hold != at {
				at = row.Hold
				out = append(out, HoldPoint{Way: way, Step: s.ID, StepTitle: s.Title, Number: s.Number, Title: at.Title, Who: at.Signature})
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
		if x.ID == id && x.Removal == nil {
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

// Mark reads a try of a quiz and marks it by the wording that was shown. What a tablet says that it scored is not believed.
func (p *Plans) Mark(q *procedure.Quiz, tries ...collect.File) *collect.Collection {
	return collect.Read(q, tries, p.Wordings...)
}

// Hold is the hold point of a record that a signature is wanted for, by WAY/ROW, or the finding that stops the work, by its record.StopKey;
// nil when there is none. What the library does not have cannot be signed: nobody could say what was signed there.
func (p *Plans) Hold(r *record.Record, key string) *HoldPoint {
	if name, stop := record.SplitStop(key); stop {
		f, there := r.Findings[name]
		if !there || f.Withdrawn || f.Severity != record.StopsWork {
			return nil
		}
		return &HoldPoint{Way: f.Phase, Step: f.Step, Title: f.Name, Finding: name, text: f.Text()}
	}
	way, row, ok := record.SplitKey(key)
	if !ok {
		return nil
	}
	return p.Of(r.Procedure, r.Variant).hold(way, row)
}

// Confirmed reports whether everything at the hold point is confirmed.
func (h *HoldPoint) Confirmed(r *record.Record) bool {
	for _, row := range h.Rows {
		if !r.Confirmed[string(h.Way)+"/"+row.ID].Given {
			return false
		}
	}
	return true
}

// Lines are the words of all that is confirmed there, a line each; of a finding what it says.
func (h *HoldPoint) Lines() string {
	if h.Finding != "" {
		return h.text
	}
	var lines []string
	for _, row := range h.Rows {
		lines = append(lines, strings.Join(strings.Fields(row.Text), " "))
	}
	return strings.Join(lines, "\n")
}

// step finds a step and its place; nil when the library does not have it.
func (p *Plan) step(way record.Phase, id string) (s *procedure.Step, of int) {
	if p == nil || p.Ways[way] == nil {
		return nil, 0
	}
	j := p.Ways[way]
	return j.Step(id), len(j.Steps)
}
