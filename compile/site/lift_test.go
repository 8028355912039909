package site

import (
	"slices"
	"testing"

	"matchmark/compile/pagetest"
	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// By hand with the factors of the NIOSH revised lifting equation (Publication
// 94-110) for the assumed lift: 23 · 25/40 · 0.925 · 0.9325 · 0.904 · 1 · 0.95 = 10.65 kg
// at the start, more at the end; 3.4 / 10.65 = 0.32.
func TestLiftByHand(t *testing.T) {
	step := one(t, pagetest.Page(t, emitAll(t, library()), "procedure/out/steps-belt.html"), "#feet-off")
	panel := one(t, step, "details.lift")
	pagetest.Expect(t, panel, map[string][]string{
		"summary": {"Lift by hand: Left foot, 3400 g within the limit"},
		"li": {
			"1 person", "Recommended limit for one person: 10.6 kg", "Lifting index: 0.32 (up to 1 is within the limit)",
			"Assumed: reach 40 cm, hands from 50 cm to 90 cm, twist 30°, grip fair",
		},
		".plausible": {"A plausibility check only; it certifies nothing. The maker's data and licensed practice come first. Lift sheet"},
		".under":     nil,
	})
	if _, open := panel.Attributes["open"]; open {
		t.Error("a lift that nothing speaks against is unfolded")
	}
	if got := one(t, panel, "a").Attributes["href"]; got != "lift-belt.html" {
		t.Errorf("the panel leads to %s", got)
	}
}

// 64 kg on two legs at 60°: 64 / 2 / sin 60° = 36.95 kg on each; 400 kg a leg lets
// them carry 400 · 2 · sin 60° = 692.8 kg.
func TestLiftWithGear(t *testing.T) {
	lib := library()
	sling := lib.Machines[0].Supports[1]
	sling.Kind, sling.Legs, sling.Angle = "chain sling", 2, measure.Must("60 deg")
	steps := lib.Procedures[0].Steps
	steps[3].Blocks[2].(*procedure.ActionList).Actions[0].With = refs("hoist", "sling")
	step := one(t, pagetest.Page(t, emitAll(t, lib), "procedure/out/steps-belt.html"), "#lift")
	panel := one(t, step, "details.lift")
	pagetest.Expect(t, panel, map[string][]string{
		"summary": {"Lift with gear: Drive gearbox, 64 kg within the rated capacity"},
		"li": {
			"Weakest item: Chain hoist: 64 kg on it, rated for 250 kg",
			"Chain sling: 37 kg on each of 2 legs at 60°, each rated for 400 kg; together they can carry 692.8 kg",
			"How the load is shared, and whether it hangs level, is not judged: the places of its centre of mass and of what has it are not stated.",
		},
		".under":  {"Never stand, walk or reach under a suspended load."},
		".advice": nil,
	})
	if _, open := panel.Attributes["open"]; !open {
		t.Error("the figures of a lift with gear are folded away")
	}
	// Each fact once: the row below does not say the mass again.
	if got := one(t, step, ".i-lift").Text(); got != "G Lift Drive gearbox with Chain hoist and Chain sling" {
		t.Errorf("the row says %q", got)
	}
}

func TestLiftInDoubt(t *testing.T) {
	for name, c := range map[string]struct {
		change                func(m *procedure.Machine)
		step, verdict, advice string
	}{
		"too heavy for the hoist": {
			func(m *procedure.Machine) { m.Supports[0].Capacity = measure.Must("50 kg") },
			"#lift", "too heavy for the gear", "Overloaded: Chain hoist can carry 50 kg. Do not lift like this.",
		},
		"a rating is missing": {
			func(m *procedure.Machine) { m.Supports[0].Capacity = measure.Quantity{} },
			"#lift", "not judged", "Not judged: a rated capacity is not stated. Find that out before the lift.",
		},
		"heavy for one pair of hands": {
			func(m *procedure.Machine) { m.Parts[1].Mass = measure.Must("15 kg") },
			"#feet-off", "above the limit", "Above the limit (index above 1): use a second person or lifting gear, or stand closer and twist less.",
		},
	} {
		lib := library()
		c.change(lib.Machines[0])
		panel := one(t, one(t, pagetest.Page(t, emitAll(t, lib), "procedure/out/steps-belt.html"), c.step), "details.lift.doubt")
		if _, open := panel.Attributes["open"]; !open {
			t.Errorf("%s: the panel is folded away", name)
		}
		got, want := append(panel.Texts(".verdict"), panel.Texts(".advice")...), []string{c.verdict, c.advice}
		if !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
}
