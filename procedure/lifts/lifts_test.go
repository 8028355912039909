package lifts

import (
	"math"
	"slices"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/lifting"
	"matchmark/procedure/measure"
)

func job(people int, verb procedure.Verb, mass string, geometry procedure.HandLift, with ...string) *procedure.Job {
	m := &procedure.Machine{
		Parts: []*procedure.Part{{Row: procedure.Row{ID: "box", Name: "the box"}}},
		Supports: []*procedure.Support{
			{Row: procedure.Row{ID: "hoist"}, Kind: "hoist", Capacity: measure.Must("250 kg")},
			{Row: procedure.Row{ID: "sling"}, Kind: "sling", Capacity: measure.Must("100 kg"), Legs: 2, Angle: measure.Must("60 deg")},
			{Row: procedure.Row{ID: "hands"}, Kind: "hands"},
		},
	}
	if mass != "" {
		m.Parts[0].Mass = measure.Must(mass)
	}
	m.Index()
	a := &procedure.Action{Verb: verb, Object: procedure.Ref{ID: "box"}}
	for _, w := range with {
		a.With = append(a.With, procedure.Ref{ID: w})
	}
	s := &procedure.Step{People: people, Blocks: []procedure.Block{&procedure.ActionList{Lift: geometry, Actions: []*procedure.Action{a}}}}
	return &procedure.Job{Machine: m, Steps: []*procedure.Step{s}}
}

// The stated geometry is that of the published metric example in testdata/reference
// (12 kg, H 25 cm, V 55 cm, D 95 cm, fair grip): its limit at the origin, at the
// example's frequency of 3 a minute, is 15.7 kg. A single lift drops the frequency
// multiplier of 0.88, so 15.677 / 0.88 = 17.815 kg, worked out by hand.
func TestStatedGeometryReachesTheEquation(t *testing.T) {
	g := procedure.HandLift{
		Reach: measure.Must("250 mm"), From: measure.Must("55 cm"), To: measure.Must("1.5 m"),
		Twist: measure.Must("0 deg"), Grip: "fair",
	}
	got := Of(job(1, procedure.Lift, "12 kg", g, "hands"))
	if len(got) != 1 || got[0].Hand == nil || got[0].Gear != nil {
		t.Fatalf("want one lift by hand, got %+v", got)
	}
	if len(got[0].Assumed) != 0 {
		t.Errorf("assumed %v, though all is stated", got[0].Assumed)
	}
	if rwl := got[0].Hand.Result.Origin.RWL; math.Abs(rwl-17.815) > 0.001 {
		t.Errorf("limit at the origin %.3f kg, want 17.815", rwl)
	}
}

func TestUnstatedGeometryIsNamed(t *testing.T) {
	got := Of(job(1, procedure.Remove, "12 kg", procedure.HandLift{Reach: measure.Must("30 cm"), Grip: "good"}))
	if len(got) != 1 || !slices.Equal(got[0].Assumed, []string{"from", "to", "twist"}) {
		t.Fatalf("want from, to and twist assumed, got %+v", got)
	}
	if got[0].Hand.Lift.Origin.Horizontal != 30 || got[0].Hand.Lift.Coupling != lifting.Good {
		t.Errorf("the stated reach and grip are lost: %+v", got[0].Hand.Lift)
	}
	if again := lifting.AssumedLift(); again.Destination.Horizontal != 40 {
		t.Errorf("the assumed lift was changed: %+v", again.Destination)
	}
}

func TestWhatCountsAsALift(t *testing.T) {
	cases := []struct {
		name       string
		people     int
		verb       procedure.Verb
		mass       string
		with       []string
		hand, gear bool
	}{
		{"lift with gear", 1, procedure.Lift, "80 kg", []string{"hoist", "sling"}, false, true},
		{"lift with gear that hands guide", 2, procedure.Lift, "80 kg", []string{"hoist", "hands"}, false, true},
		{"lift by two", 2, procedure.Lift, "30 kg", []string{"hands"}, true, false},
		{"part taken off by hand", 1, procedure.Remove, "3 kg", nil, true, false},
		{"part without a mass taken off", 1, procedure.Remove, "", nil, false, false},
		{"support is no lift", 1, procedure.Hang, "80 kg", []string{"hoist"}, false, false},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got := Of(job(c.people, c.verb, c.mass, procedure.HandLift{}, c.with...))
			if !c.hand && !c.gear {
				if len(got) != 0 {
					t.Fatalf("want no lift, got %+v", got)
				}
				return
			}
			if len(got) != 1 || (got[0].Hand != nil) != c.hand || (got[0].Gear != nil) != c.gear {
				t.Fatalf("got %+v", got)
			}
		})
	}
}

// Two legs at 60° each carry 80/2 · 1/sin 60° = 46.2 kg (published factor 1.155,
// testdata/reference/05_sling_factors.csv), below the 100 kg of a leg.
func TestSlingAngleCounts(t *testing.T) {
	got := Of(job(1, procedure.Lift, "80 kg", procedure.HandLift{}, "hoist", "sling"))
	sling := got[0].Gear.Items[1]
	if math.Abs(sling.Tension-46.19) > 0.02 || got[0].Gear.Gear != lifting.Carries {
		t.Errorf("tension %.2f kg, verdict %v", sling.Tension, got[0].Gear.Gear)
	}
}
