package edition

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/schedule"
)

// Step is one step that changed. Steps are the same when they have the same name.
type Step struct {
	Kind Kind
	// Old and New are the step in the two editions; Old is nil for an added step, New for a removed one.
	Old, New *procedure.Step
	// Moved is true when the step has another place among the steps that both
	// editions have. Of several that changed places, as few as possible are called moved.
	Moved bool
	// OldAfter and NewAfter are the steps right before it; nil for a first step. Set for moved steps.
	OldAfter, NewAfter *procedure.Step
	// Changes are what else is different, in the order of the dialect's attributes, then of the blocks.
	Changes []Change
	// OldTime and NewTime are the expected times, 0 where there is no step; Difference is NewTime less OldTime.
	OldTime, NewTime, Difference float64
}

// Either returns the step of the new edition, or else of the old.
func (s Step) Either() *procedure.Step {
	if s.New != nil {
		return s.New
	}
	return s.Old
}

func steps(before, after *procedure.Procedure) []Step {
	moved := movedSteps(before, after)
	var out []Step
	// A removed step is put behind the step that stood before it and is still there.
	gone := map[string][]Step{}
	anchor := ""
	for _, s := range before.Steps {
		if after.Step(s.ID) != nil {
			anchor = s.ID
			continue
		}
		t := schedule.Expected(s.Time)
		gone[anchor] = append(gone[anchor], Step{Kind: Removed, Old: s, OldTime: t, Difference: -t})
	}
	out = append(out, gone[""]...)
	for i, s := range after.Steps {
		old := before.Step(s.ID)
		if old == nil {
			t := schedule.Expected(s.Time)
			out = append(out, Step{Kind: Added, New: s, NewTime: t, Difference: t})
			continue
		}
		c := compared(before, after, old, s)
		if moved[s.ID] {
			c.Moved = true
			c.OldAfter, c.NewAfter = previous(before.Steps, slices.Index(before.Steps, old)), previous(after.Steps, i)
		}
		if c.Moved || len(c.Changes) > 0 {
			out = append(out, c)
		}
		out = append(out, gone[s.ID]...)
	}
	return out
}

func previous(steps []*procedure.Step, i int) *procedure.Step {
	if i == 0 {
		return nil
	}
	return steps[i-1]
}

// movedSteps finds the steps that changed places: all but the longest run of steps that kept their order.
func movedSteps(before, after *procedure.Procedure) map[string]bool {
	at := map[string]int{}
	for i, s := range before.Steps {
		at[s.ID] = i
	}
	var both []string
	for _, s := range after.Steps {
		if _, ok := at[s.ID]; ok {
			both = append(both, s.ID)
		}
	}
	// run[i] is the length of the longest rising run that ends with both[i], from[i] the one before it.
	run, from := make([]int, len(both)), make([]int, len(both))
	end := -1
	for i := range both {
		run[i], from[i] = 1, -1
		for j := range i {
			if at[both[j]] < at[both[i]] && run[j]+1 > run[i] {
				run[i], from[i] = run[j]+1, j
			}
		}
		if end < 0 || run[i] > run[end] {
			end = i
		}
	}
	moved := map[string]bool{}
	for _, id := range both {
		moved[id] = true
	}
	for ; end >= 0; end = from[end] {
		delete(moved, both[end])
	}
	return moved
}

// compared lists what is different between a step of the old edition and the same of the new.
func compared(before, after *procedure.Procedure, old, s *procedure.Step) Step {
	out := Step{Kind: Changed, Old: old, New: s, OldTime: schedule.Expected(old.Time), NewTime: schedule.Expected(s.Time)}
	out.Difference = out.NewTime - out.OldTime
	var c changes
	c.fields(namesOf(before), namesOf(after), old, s, "blocks")
	c.blocks(namesOf(before), namesOf(after), old, s)
	out.Changes = c
	return out
}
