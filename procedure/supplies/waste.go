package supplies

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// Waste is something that a job leaves over, and where it goes.
type Waste struct {
	Row *procedure.Row
	// Goes says where it goes, as its row says.
	Goes string
	// Amount is how much of a fluid comes out, or is used up of a consumable; zero when not stated. Pieces counts fasteners and parts.
	Amount measure.Quantity
	Pieces int
	// Steps are the numbers of the steps that leave it over, ascending.
	Steps []int
}

// wastes lists what is drained, taken off or used up, and whose row says where it goes, in the order of the registers.
func wastes(job *procedure.Job, tools map[string][]int) []Waste {
	found := map[*procedure.Row]*Waste{}
	note := func(t *procedure.Thing, goes string, step int) *Waste {
		w := found[t.Row]
		if w == nil {
			w = &Waste{Row: t.Row, Goes: goes}
			found[t.Row] = w
		}
		w.Steps = note(w.Steps, step)
		return w
	}
	for _, s := range job.Steps {
		for _, a := range s.Actions() {
			t := job.Machine.Thing(a.Object.ID)
			if t == nil || t.Waste() == "" {
				continue
			}
			switch {
			case t.Fluid != nil && a.Verb == procedure.Drain:
				note(t, t.Waste(), s.Number).Amount = t.Fluid.Quantity
			case t.Fastener != nil && a.Verb == procedure.Remove:
				note(t, t.Waste(), s.Number).Pieces = max(t.Fastener.Count, 1)
			case t.Part != nil && a.Verb == procedure.Remove:
				note(t, t.Waste(), s.Number).Pieces = 1
			}
		}
	}
	var out []Waste
	for _, t := range job.Machine.Things() {
		if t.Tool != nil && t.Waste() != "" && len(tools[t.Row.ID]) > 0 {
			found[t.Row] = &Waste{Row: t.Row, Goes: t.Waste(), Amount: Used(job, t.Tool), Steps: slices.Clone(tools[t.Row.ID])}
		}
		if w := found[t.Row]; w != nil {
			out = append(out, *w)
		}
	}
	return out
}
