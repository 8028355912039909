// Package supplies works out what must lie ready before a job starts: tools,
// supports, containers, consumables, bags and labels, each with the first step that needs it.
package supplies

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// List is everything that a job needs, in the order of the machine's registers
// unless a field says otherwise.
type List struct {
	// Tools holds the tools of one kind each, in the order of procedure.ToolKinds; kinds without a tool are left out.
	Tools []Group
	// Supports are the hoists, slings and stands that carry parts.
	Supports []Support
	// Brought are the parts and fasteners that are put on for the job and leave again.
	Brought []Brought
	// Drains are the fluids that come out, in the order of the steps.
	Drains []Drain
	// Renewals are the single-use fasteners, fluids and parts for which a new one must lie ready.
	Renewals []Renewal
	// Wrench is a torque wrench for the torques that no registered one reaches; nil when there are none.
	Wrench *Wrench
	// Treatments go on threads, in the order of the steps.
	Treatments []Treatment
	// Bags hold the fasteners that come out; see Bags.
	Bags []Bag
	// Wastes are what is left over and has a place to go to.
	Wastes []Waste
	// Labels go on what comes off; see Labels.
	Labels []Label
}

// Group is the tools of one kind.
type Group struct {
	Kind  procedure.ToolKind
	Tools []Tool
}

// Tool is a tool with the steps that need it.
type Tool struct {
	*procedure.Tool
	// Steps are the numbers of the steps, ascending.
	Steps []int
	// Used is what these use up of it in all; zero when none says so.
	Used measure.Quantity
}

// Amount is how much of the tool must lie ready: what the steps use up, or else what its row says.
func (t Tool) Amount() measure.Quantity {
	if t.Used.IsZero() {
		return t.Quantity
	}
	return t.Used
}

// Support is a support with what it carries.
type Support struct {
	*procedure.Support
	Steps []int
	// Parts are what it carries, in the order of the steps.
	Parts []*procedure.Part
}

// For works out a job's list.
func For(job *procedure.Job) List {
	steps := toolSteps(job)
	w := wrench(job, steps)
	return List{
		Tools:      tools(job, steps),
		Supports:   supports(job),
		Brought:    brought(job),
		Drains:     drains(job),
		Renewals:   renewals(job, steps),
		Wrench:     w,
		Treatments: treatments(job),
		Bags:       Bags(job),
		Wastes:     wastes(job, steps),
		Labels:     Labels(job),
	}
}

// toolSteps lists the steps that need each thing, by its name.
func toolSteps(job *procedure.Job) map[string][]int {
	steps := map[string][]int{}
	for _, s := range job.Steps {
		for _, r := range s.Tools {
			if job.Has(r.ID) { // a step of all variants may list what only one of them needs
				steps[r.ID] = note(steps[r.ID], s.Number)
			}
		}
		for _, a := range s.Actions() {
			for _, r := range a.With {
				steps[r.ID] = note(steps[r.ID], s.Number)
			}
		}
	}
	return steps
}

// tools groups the tools that steps need.
func tools(job *procedure.Job, steps map[string][]int) []Group {
	var groups []Group
	for _, kind := range procedure.ToolKinds {
		g := Group{Kind: kind}
		for _, t := range job.Machine.Tools {
			if t.Kind == kind && len(steps[t.ID]) > 0 && !later(job, t) {
				g.Tools = append(g.Tools, Tool{Tool: t, Steps: steps[t.ID], Used: Used(job, t)})
			}
		}
		if len(g.Tools) > 0 {
			groups = append(groups, g)
		}
	}
	return groups
}

// Used is how much of a tool a job's steps use up, in the unit of the first that does; zero when none says how much, or when
// the amounts cannot be added up, which is reported. A round is gone through as often as it may be.
func Used(job *procedure.Job, t *procedure.Tool) (sum measure.Quantity) {
	for _, s := range job.Steps {
		q := s.Amount(t.ID)
		if n := int(s.Round.Rounds.Pessimistic); n > 1 && !q.IsZero() {
			q = q.Times(n)
		}
		switch {
		case q.IsZero():
		case sum.IsZero():
			sum = q
		default:
			more, err := sum.Add(q)
			if err != nil {
				return measure.Quantity{}
			}
			sum = more
		}
	}
	return sum
}

// supports lists the supports that actions name, and those that a step lists among its tools.
func supports(job *procedure.Job) []Support {
	found := map[string]*Support{}
	visit := func(id string, step int, part *procedure.Part) {
		t := job.Machine.Thing(id)
		if t == nil || t.Support == nil {
			return
		}
		s := found[id]
		if s == nil {
			s = &Support{Support: t.Support}
			found[id] = s
		}
		s.Steps = note(s.Steps, step)
		if part != nil && !slices.Contains(s.Parts, part) {
			s.Parts = append(s.Parts, part)
		}
	}
	for _, step := range job.Steps {
		for _, r := range step.Tools {
			visit(r.ID, step.Number, nil)
		}
		for _, a := range step.Actions() {
			for _, r := range a.With {
				visit(r.ID, step.Number, partOf(job, a))
			}
		}
	}
	var out []Support
	for _, s := range job.Machine.Supports {
		if f := found[s.ID]; f != nil {
			out = append(out, *f)
		}
	}
	return out
}

// Brought is a part or a fastener that is put on for the job; one of the two is set.
type Brought struct {
	Part     *procedure.Part
	Fastener *procedure.Fastener
	// Steps are those that do something with it, ascending, and Last where it comes off for good; 0 when it does not.
	Steps []int
	Last  int
}

// brought lists what is put on for the job, in the order of the registers.
func brought(job *procedure.Job) []Brought {
	found := map[*procedure.Row]*Brought{}
	for _, s := range job.Steps {
		for _, a := range s.Actions() {
			t := job.Machine.Thing(a.Object.ID)
			if t == nil || (t.Part == nil || !t.Part.Brought) && (t.Fastener == nil || !t.Fastener.Brought) {
				continue
			}
			b := found[t.Row]
			if b == nil {
				b = &Brought{Part: t.Part, Fastener: t.Fastener}
				found[t.Row] = b
			}
			b.Steps = note(b.Steps, s.Number)
			switch a.Verb {
			case procedure.Remove:
				b.Last = s.Number
			case procedure.Fit:
				b.Last = 0
			}
		}
	}
	var out []Brought
	for _, t := range job.Machine.Things() {
		if b := found[t.Row]; b != nil {
			out = append(out, *b)
		}
	}
	return out
}

// note adds a step to an ascending list once.
func note(steps []int, step int) []int {
	if n := len(steps); n > 0 && steps[n-1] == step {
		return steps
	}
	return append(steps, step)
}

func partOf(job *procedure.Job, a *procedure.Action) *procedure.Part {
	if t := job.Machine.Thing(a.Object.ID); t != nil {
		return t.Part
	}
	return nil
}
