package generate

import (
	"slices"
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/measure"
	"matchmark/procedure/state/statetest"
)

// gearbox is a small job with every kind of fact.
func gearbox() *procedure.Procedure {
	m := statetest.Machine(`base frame
part gearbox 12
part guard 3
part foot 3
bolt 1 guard frame torque=18
bolt 2 foot frame torque=80
bolt 3 gearbox frame torque=190
washer 4 foot frame single-use
bolt 5 gearbox frame torque=60
energy isolated undo
condition slack needs=isolated undo
condition barred undo
hoist hoist 250
stand pallet 500
tool puller
tool hammer
tool chisel`)
	for i, name := range []string{"Guard bolt", "Foot bolt", "Rear bolt", "Foot washer", "Cover bolt"} {
		m.Fasteners[i].Name = name
	}
	m.Fasteners[1].Torque = measure.Must("59 lbf·ft") // 79.99 N·m
	m.Parts[1].Face, m.Parts[2].Face, m.Parts[3].Face = "hub forward", "slot outward", "rib <out>"
	balloon := func(id string) procedure.Balloon { return procedure.Balloon{Ref: ref(id)} }
	m.Figures = []*procedure.Figure{{ID: "feet", Balloons: []procedure.Balloon{balloon("1"), balloon("1"), balloon("3"), balloon("2")}}}
	p := statetest.Procedure(m, `isolate: establish isolated; verify isolated
guard-off needs=isolated: remove 1; remove guard
foot-off needs=isolated: loosen 4; remove 2; remove 4; remove foot; keep 3 until hoist-on
hoist-on: support gearbox with hoist; hold
bolts-out: remove 5; remove 3; hold
lift: lift gearbox with hoist`)
	p.Steps[2].Tools, p.Steps[2].Figure = []procedure.Ref{ref("puller")}, ref("feet")
	p.Steps[4].Figure = ref("feet")
	for _, a := range p.Steps[2].Actions() {
		if a.Verb == procedure.Keep {
			a.Reason = prose("it carries until Step hoist-on")
		}
	}
	return p
}

// facts of the gearbox, by the questions' names: the right answer, and one that must not be offered.
func TestKinds(t *testing.T) {
	p := gearbox()
	made := map[string]*procedure.Question{}
	for _, m := range all(analysis.New(p), 1, say) {
		made[m.question.ID] = m.question
	}
	tests := []struct{ id, step, right, never string }{
		{"keep-foot-off-3", "foot-off", "Rear bolt: it carries until Step hoist-on", "Cover bolt"},
		{"torque-3", "bolts-out", "190 N·m", ""},
		{"torque-2", "foot-off", "59 lbf·ft", "59.0 lbf·ft"},
		{"tool-foot-off", "foot-off", "puller", ""},
		{"needs-guard-off", "guard-off", "isolated", ""},
		{"new-4", "foot-off", "Foot washer", ""},
		{"face-foot", "foot-off", "rib <out>", ""},
	}
	for _, tt := range tests {
		q := made[tt.id]
		if q == nil {
			t.Errorf("%s is not made", tt.id)
			continue
		}
		for _, c := range q.Choices {
			if c.Right != (c.Prose.Plain() == tt.right) || tt.never != "" && strings.HasPrefix(c.Prose.Plain(), tt.never) {
				t.Errorf("%s: %q is right: %v", tt.id, c.Prose.Plain(), c.Right)
			}
		}
		if q.Step.ID != tt.step || len(q.Choices) < 3 {
			t.Errorf("%s: step %s, %d choices", tt.id, q.Step.ID, len(q.Choices))
		}
	}
	// The figure has two balloons for the guard bolt: no question points at it.
	if made["point-1"] != nil || made["point-3"] == nil || made["point-3"].Target.ID != "3" || made["point-3"].Figure.ID != "feet" {
		t.Errorf("point at %+v", made["point-3"])
	}
	var lines []string
	for _, c := range made["order-isolate"].Choices {
		lines = append(lines, c.Prose.Plain())
	}
	if !slices.Equal(lines, []string{"Step isolate", "Step guard-off", "Step hoist-on", "Step bolts-out"}) {
		t.Errorf("order %q", lines)
	}
}

// A form asks about different kinds of fact before it asks about one twice.
func TestKindsAreMixed(t *testing.T) {
	q := &procedure.Quiz{Procedure: gearbox(), Generate: 6, Seed: 3}
	kinds := map[string]bool{}
	for _, x := range Questions(q, analysis.New(q.Procedure), say) {
		kind, _, _ := strings.Cut(x.ID, "-")
		kinds[kind] = true
	}
	if len(kinds) != 6 {
		t.Errorf("six questions of the kinds %v", kinds)
	}
}

func TestNothingIsMadeUnasked(t *testing.T) {
	for name, q := range map[string]*procedure.Quiz{
		"no number":    {Procedure: gearbox()},
		"no procedure": {Generate: 3},
		"no machine":   {Procedure: &procedure.Procedure{}, Generate: 3},
	} {
		var of *analysis.Procedure
		if q.Procedure != nil {
			of = analysis.New(q.Procedure)
		}
		if made := Questions(q, of, say); len(made) > 0 {
			t.Errorf("%s: %d questions", name, len(made))
		}
	}
}

// Sizes and ranges that could do each other's work are no wrong choices.
func TestInterchangeable(t *testing.T) {
	tests := []struct {
		a, b string
		want bool
	}{
		{"Socket 13 mm", "Socket 18 mm", false},
		{"Socket 13 mm", "Spanner 13 mm", true},
		{"Torque wrench, 10 N·m to 60 N·m", "Torque wrench, 40 N·m to 200 N·m", true},
		{"Puller", "Hammer", false},
		{"Puller, two arms", "Puller, three arms", true},
	}
	for _, tt := range tests {
		a, b := &procedure.Tool{Row: procedure.Row{Name: tt.a}}, &procedure.Tool{Row: procedure.Row{Name: tt.b}}
		if got := interchangeable(a, b); got != tt.want || interchangeable(b, a) != tt.want {
			t.Errorf("%s and %s: %v", tt.a, tt.b, got)
		}
	}
}
