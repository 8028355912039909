package record

import (
	"cmp"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/rows"
)

// Reason says why an entry of a record has no place in a procedure.
type Reason string

// The reasons.
const (
	StepGone  Reason = "step-gone"
	RowGone   Reason = "row-gone"
	ThingGone Reason = "thing-gone"
	// GateGone: the step of the refitting that a repair was wanted before; the repair then gates the whole refitting.
	GateGone Reason = "gate-gone"
	// FindingGone: a repair of a finding, or a look at one, that the record does not hold.
	FindingGone Reason = "finding-gone"
)

// Lost is an entry that could not be placed in a procedure, or not wholly.
type Lost struct {
	// Map is the record's map that the entry stands in, by its name in the file, and Key the key there.
	Map, Key string
	// Name is the step, row or thing that is not there.
	Name   string
	Reason Reason
}

// Placement is a record carried over to a procedure as it is now: every entry
// either has its place or is among the lost.
type Placement struct {
	// Out and Back are the jobs of the record's variant; Back is nil when nothing has to go back.
	Out, Back *procedure.Job
	// Older is true when the record was made from another text of the procedure.
	Older bool
	// Rows are the rows of both ways, by the record's keys.
	Rows map[string]rows.Line
	// Findings are all findings, those that were taken back left out, by their names.
	Findings map[string]PlacedFinding
	Lost     []Lost
}

// PlacedFinding is a finding with what it is about. What is nil has gone, and is among the lost.
type PlacedFinding struct {
	// Step is where it was found.
	Step *procedure.Step
	// Thing is nil too when a person has named something that no register has.
	Thing *procedure.Thing
	// Before is the step of the refitting that waits for the repair; nil for the whole of it.
	Before *procedure.Step
}

// Step is the step of a way by its name; nil when it is not there.
func (p *Placement) Step(way Phase, id string) *procedure.Step {
	job := p.job(way)
	if job == nil {
		return nil
	}
	name, round := rows.SplitRound(id)
	s := job.Step(name)
	if s == nil || round > 1 && round > s.Round.Most {
		return nil
	}
	return s
}

func (p *Placement) job(way Phase) *procedure.Job {
	if way == Refitting {
		return p.Back
	}
	return p.Out
}

// Place carries a record over to the present procedure, with its refitting behind
// it. Steps, rows and things are the same when they have the same name. It
// returns nil when the machine no longer has the record's variant.
func Place(r *Record, p *procedure.Procedure) *Placement {
	out := &Placement{Older: r.Content != Content(p), Rows: map[string]rows.Line{}, Findings: map[string]PlacedFinding{}}
	if out.Out = jobOf(p, r.Variant); out.Out == nil {
		return nil
	}
	if p.Refitting != nil {
		out.Back = jobOf(p.Refitting, r.Variant)
	}
	for _, way := range Phases {
		if job := out.job(way); job != nil {
			for id, row := range rows.ByID(job) {
				out.Rows[string(way)+"/"+id] = row
			}
		}
	}
	out.steps(r)
	out.rows(r)
	out.findings(r)
	slices.SortFunc(out.Lost, func(a, b Lost) int {
		return cmp.Or(cmp.Compare(a.Map, b.Map), cmp.Compare(a.Key, b.Key), cmp.Compare(a.Reason, b.Reason))
	})
	return out
}

func jobOf(p *procedure.Procedure, variant string) *procedure.Job {
	for _, j := range p.Jobs() {
		if j.Variant == nil && variant == "" || j.Variant != nil && j.Variant.ID == variant {
			return j
		}
	}
	return nil
}

func (p *Placement) lose(in, key, name string, why Reason) {
	p.Lost = append(p.Lost, Lost{in, key, name, why})
}

// steps looks for the steps that are passed or were worked on.
func (p *Placement) steps(r *Record) {
	for key, e := range r.Passed {
		if way, step, _ := SplitKey(key); e.Value && p.Step(way, step) == nil {
			p.lose("passed", key, step, StepGone)
		}
	}
	for key := range r.Times() {
		if way, step, _ := SplitKey(key); step != ClosingPage && p.Step(way, step) == nil {
			p.lose("work", key, step, StepGone)
		}
	}
}

// ClosingPage is the place of a tablet that is through with all steps.
const ClosingPage = "ui_end"

// rows looks for the rows that are ticked, confirmed, signed or measured.
func (p *Placement) rows(r *Record) {
	look := func(in, key string) {
		if name, stop := SplitStop(key); stop {
			if _, there := r.Findings[name]; !there {
				p.lose(in, key, name, FindingGone)
			}
			return
		}
		if _, ok := p.Rows[key]; !ok {
			_, row, _ := SplitKey(key)
			p.lose(in, key, row, RowGone)
		}
	}
	for key, e := range r.Ticks {
		if e.Value {
			look("ticks", key)
		}
	}
	for key, e := range r.Confirmed {
		if e.Given {
			look("confirmed", key)
		}
	}
	for key := range r.Signed {
		look("signed", key)
	}
	for key, e := range r.Measured {
		if e.Value != "" {
			look("measured", key)
		}
	}
}

// findings looks for what each finding is about, and for what the repairs repair.
func (p *Placement) findings(r *Record) {
	for key, f := range r.Findings {
		if f.Withdrawn {
			continue
		}
		at := PlacedFinding{Step: p.Step(f.Phase, f.Step)}
		if at.Step == nil {
			p.lose("findings", key, f.Step, StepGone)
		}
		if f.Thing != "" {
			if p.Out.Has(f.Thing) {
				at.Thing = p.Out.Machine.Thing(f.Thing)
			} else {
				p.lose("findings", key, f.Thing, ThingGone)
			}
		}
		if f.Before != "" && f.Severity != Watch {
			if at.Before = p.Step(Refitting, f.Before); at.Before == nil {
				p.lose("findings", key, f.Before, GateGone)
			}
		}
		p.Findings[key] = at
	}
	for key, e := range r.Repairs {
		if _, ok := r.Findings[key]; e.Done && !ok {
			p.lose("repairs", key, key, FindingGone)
		}
	}
}
