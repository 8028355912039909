package sheet

import (
	"slices"
	"strconv"

	"matchmark/procedure"
	"matchmark/procedure/risk"
	"matchmark/procedure/supplies"
)

// release is the return to service: everything counted, renewed, guarded, filled and freed, then the first run.
func (e emitter) release() error {
	v, err := e.paper(Release, "done", "seen", "taken-back")
	if err != nil {
		return err
	}
	v.Tables = append(v.Tables, e.counted())
	for _, t := range []paperTable{e.renewed(), e.guarded(), e.filled(), e.retorqued(), e.freed()} {
		if len(t.Rows) > 0 {
			v.Tables = append(v.Tables, t)
		}
	}
	run := e.table(Release, "run", "what", "seen", "when", "initials")
	for _, key := range []string{"findings", "clean", "guards", "first-run", "first-batch"} {
		run.add(append([]paperCell{cell(e.words.T("paper.release." + key + ".ask"))}, blanks(3)...)...)
	}
	v.Tables = append(v.Tables, run)
	return e.write(Release, paperPage(v))
}

// counted are the tools that must be out of the machine again, and the bags that must be empty.
func (e emitter) counted() paperTable {
	t := e.table(Release, "count", "what", "out", "back", "initials")
	for _, g := range e.list.Tools {
		if g.Kind == procedure.Protection {
			continue
		}
		for _, tool := range g.Tools {
			out := paperCell{} // how much was used is written down
			if n, limited := tool.Pieces(); limited {
				out = cell(strconv.Itoa(n))
			}
			t.add(append([]paperCell{cell(tool.Name), out}, blanks(2)...)...)
		}
	}
	for _, s := range e.list.Supports {
		t.add(append([]paperCell{cell(s.Name), cell("1")}, blanks(2)...)...)
	}
	for _, b := range e.list.Brought {
		if b.Fastener != nil {
			t.add(append([]paperCell{cell(b.Fastener.Name), cell(strconv.Itoa(b.Fastener.Count))}, blanks(2)...)...)
		} else {
			t.add(append([]paperCell{cell(b.Part.Name), cell("1")}, blanks(2)...)...)
		}
	}
	for _, x := range e.countedByActs() {
		t.add(append([]paperCell{cell(x.Name), {}}, blanks(2)...)...)
	}
	return t
}

// countedByActs are what the steps tell to count and no step of this job takes along: plugs and films that lie in the machine since it
// was opened.
func (e emitter) countedByActs() (out []*procedure.Tool) {
	listed := map[*procedure.Tool]bool{}
	for _, g := range e.list.Tools {
		for _, t := range g.Tools {
			listed[t.Tool] = true
		}
	}
	e.eachAct(procedure.Tally, func(_ *procedure.Step, x *procedure.Thing) {
		if x.Tool != nil && !listed[x.Tool] {
			listed[x.Tool] = true
			out = append(out, x.Tool)
		}
	})
	return out
}

// renewed are the new ones that must be in.
func (e emitter) renewed() paperTable {
	t := e.table(Release, "new", "what", "step", "fitted", "old-one")
	for _, r := range slices.Concat(e.list.Renewals, supplies.GoIn(e.job)) {
		row := r.Row()
		name := row.Name
		if r.Fastener != nil {
			name = r.Fastener.ID + " " + name
		}
		t.add(append([]paperCell{cell(name), cell(strconv.Itoa(r.Step))}, blanks(2)...)...)
	}
	return t
}

// guarded are the parts that stand against a source of energy.
func (e emitter) guarded() paperTable {
	t := e.table(Release, "guards", "guard", "against", "on", "initials")
	for _, s := range risk.Sources(e.analysed) {
		for _, r := range s.Guards {
			t.add(append([]paperCell{cell(e.name(r.ID)), cell(s.Name)}, blanks(2)...)...)
		}
	}
	return t
}

// filled are the fluids that the job fills in.
func (e emitter) filled() paperTable {
	t := e.table(Release, "fluids", "fluid", "step", "amount", "level")
	e.eachAct(procedure.Fill, func(s *procedure.Step, x *procedure.Thing) {
		if f := x.Fluid; f != nil {
			t.add(cell(f.Name), cell(strconv.Itoa(s.Number)), cell(e.quantity(f.Quantity)), paperCell{})
		}
	})
	return t
}

// retorqued are the fasteners that are tried once more after a time.
func (e emitter) retorqued() paperTable {
	t := e.table(Release, "torques", "fastener", "torque", "when", "initials")
	for _, row := range e.torques {
		if f := row.Fastener; f.Retorque != "" {
			t.add(cell(f.ID+" "+f.Name), cell(e.quantity(f.Torque)), cell(f.Retorque), paperCell{})
		}
	}
	return t
}

// freed are the conditions that the job ends, in the order in which they end: those that acts undo, and those that keep energy away and
// go with a fastener, such as an open bleed.
func (e emitter) freed() paperTable {
	type ending struct {
		step      int
		condition *procedure.Condition
	}
	var ends []ending
	e.eachAct(procedure.Undo, func(s *procedure.Step, x *procedure.Thing) {
		if c := x.Condition; c != nil {
			ends = append(ends, ending{s.Number, c})
		}
	})
	for _, s := range risk.Sources(e.analysed) {
		for _, k := range s.Kept {
			for _, step := range k.Ended {
				if x := (ending{step, k.Condition}); !slices.Contains(ends, x) {
					ends = append(ends, x)
				}
			}
		}
	}
	slices.SortStableFunc(ends, func(a, b ending) int { return a.step - b.step })
	t := e.table(Release, "freed", "condition", "undone", "owner", "initials")
	for _, x := range ends {
		t.add(append([]paperCell{cell(x.condition.Name), cell(x.condition.Undo, e.stepsOf([]int{x.step}))}, blanks(2)...)...)
	}
	return t
}

// eachAct calls f with what the acts of a verb are done to.
func (e emitter) eachAct(verb procedure.Verb, f func(*procedure.Step, *procedure.Thing)) {
	for _, s := range e.job.Steps {
		for _, a := range s.Actions() {
			if x := e.job.Machine.Thing(a.Object.ID); x != nil && a.Verb == verb {
				f(s, x)
			}
		}
	}
}
