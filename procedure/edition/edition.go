// Package edition compares two editions of a procedure: what changed in steps,
// times, tools, hazards, hold points and fasteners.
package edition

import (
	"matchmark/procedure"
	"matchmark/procedure/schedule"
)

// Kind says what happened to a thing from the old edition to the new.
type Kind string

// The kinds of change.
const (
	Added   Kind = "added"
	Removed Kind = "removed"
	Changed Kind = "changed"
)

// Change is one thing that is different. Either Old and New are set, for single
// values, or Gone, Come and Reordered, for lists.
type Change struct {
	// What is the field that changed, by its word in the dialect, or the kind of block that the words stand in;
	// "order" when blocks changed places.
	What string
	// Old and New are the values as a reader would write them; empty for none.
	Old, New string
	// Gone and Come are the items that only the old or only the new list has, in order.
	Gone, Come []string
	// Reordered is true when the items that both lists have stand in another order.
	Reordered bool
	// Unseen is true when what is read is the same and only its marking up or its drawing changed.
	Unseen bool
	// Flag is true when Old and New are "yes" or nothing.
	Flag bool
}

// Comparison is what is different between two editions.
type Comparison struct {
	Old, New *procedure.Procedure
	// Head are the changes in the front matter and the introduction.
	Head []Change
	// Steps are the steps that changed, in the order of the new edition; a removed one stands where it stood.
	Steps []Step
	// Totals are the times of the whole, one for each variant, in the order of the
	// new machine's register; variants that only the old one has come last.
	Totals []Total
	// Rows are the rows of the machine's registers that changed, of those that the procedure names.
	Rows []Row
	// Figures are the procedure's own figures that changed.
	Figures []Entries
	// Hazards are the cautions that changed, the most severe first.
	Hazards []Hazard
	// Holds are the hold points that changed, in the order of the steps.
	Holds []Hold
	// Same is true when nothing at all changed but the edition's name.
	Same bool
	// NotRaised is true when something changed and both editions have one name.
	NotRaised bool
}

// Total is the time of a whole job, in minutes, one step after the other.
type Total struct {
	// Variant is nil for a machine without variants.
	Variant *procedure.Variant
	// Kind is empty for a variant that both editions have.
	Kind Kind
	// Old and New are the expected times, OldDeviation and NewDeviation their standard deviations.
	Old, New, OldDeviation, NewDeviation float64
	// Difference is New less Old; 0 unless both are there.
	Difference float64
}

// Compare compares two editions of a procedure, or two procedures.
func Compare(before, after *procedure.Procedure) Comparison {
	c := Comparison{Old: before, New: after}
	var head changes
	head.fields(namesOf(before), namesOf(after), before, after, "id", "edition")
	c.Figures = head.entries(namesOf(before), namesOf(after), before, after)
	c.Head = head
	c.Steps = steps(before, after)
	c.Totals = totals(before, after)
	c.Rows = rows(before, after)
	c.Hazards = hazards(before, after)
	c.Holds = holds(before, after)
	return c.judged()
}

// judged says whether anything changed, and whether a new edition announces it.
func (c Comparison) judged() Comparison {
	c.Same = len(c.Head)+len(c.Steps)+len(c.Rows)+len(c.Figures)+len(c.Hazards)+len(c.Holds) == 0
	c.NotRaised = !c.Same && c.Old.Edition == c.New.Edition
	return c
}

func totals(before, after *procedure.Procedure) []Total {
	old := before.Jobs()
	var out []Total
	taken := map[string]bool{}
	for _, j := range after.Jobs() {
		t := Total{Variant: j.Variant, Kind: Added}
		t.New, t.NewDeviation = time(j)
		for _, o := range old {
			if name(o.Variant) == name(j.Variant) {
				t.Kind = ""
				t.Old, t.OldDeviation = time(o)
				t.Difference = t.New - t.Old
				taken[name(o.Variant)] = true
			}
		}
		out = append(out, t)
	}
	for _, o := range old {
		if !taken[name(o.Variant)] {
			t := Total{Variant: o.Variant, Kind: Removed}
			t.Old, t.OldDeviation = time(o)
			out = append(out, t)
		}
	}
	return out
}

func time(j *procedure.Job) (expected, deviation float64) {
	clock := schedule.Clock(j)
	return clock.Total.Expected, clock.Deviation
}

func name(v *procedure.Variant) string {
	if v == nil {
		return ""
	}
	return v.ID
}
