package supplies

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// back is a small refitting: three joints with torques in two units, an oiled nut, a bolt with a locking liquid.
func back(wrench string) *procedure.Job {
	bolt := func(id, torque, treatment string) *procedure.Fastener {
		f := &procedure.Fastener{Row: row(id), Kind: procedure.Bolt, Count: 1, Treatment: treatment}
		if torque != "" {
			f.Torque = measure.Must(torque)
		}
		return f
	}
	m := &procedure.Machine{
		Fasteners: []*procedure.Fastener{
			bolt("1", "80 N·m", "dry, faces bright"), bolt("2", "18 N·m", "Threadlocker, medium"), bolt("3", "59 lbf·ft", "oil"),
			bolt("4", "80 N·m", "threadlocker, medium"), bolt("5", "", "oil"), bolt("6", "500 N·m", "grease"),
		},
		Tools: []*procedure.Tool{
			{Row: row("rope"), Kind: procedure.Lifting},
			{Row: procedure.Row{ID: "wrench", Name: wrench}, Kind: procedure.HandTool},
		},
	}
	m.Index()
	p := &procedure.Procedure{ID: "p", Machine: m, Steps: []*procedure.Step{
		{ID: "one", Blocks: []procedure.Block{actions("fit 1", "fit 2", "tighten 2", "tighten 1", "loosen 6")}},
		{ID: "two", Tools: refs("wrench"), Blocks: []procedure.Block{actions("fit 3", "fit 4", "tighten 5")}},
		{ID: "three", Blocks: []procedure.Block{actions("tighten 3", "tighten 4")}},
	}}
	return p.Jobs()[0]
}

// 59 lbf·ft are 79.993 N·m, a little below 80 N·m.
func TestWrenches(t *testing.T) {
	w := For(back("breaker bar")).Wrenches
	if got := fmt.Sprint(w.Settings, w.Steps); got != "[18 N·m 59 lbf·ft 80 N·m] [1 3]" {
		t.Errorf("got %s", got)
	}
	if w.Low().String() != "18 N·m" || w.High().String() != "80 N·m" || w.Tool != nil || w.Several() {
		t.Errorf("got %+v", w)
	}
	if !(Wrenches{Settings: []measure.Quantity{measure.Must("15 N·m"), measure.Must("80 N·m")}}).Several() {
		t.Error("one wrench for 15 N·m and 80 N·m")
	}
}

func TestARegisteredWrenchThatReaches(t *testing.T) {
	for name, reaches := range map[string]bool{
		"Torque wrench, 10 N·m to 100 N·m":     true,
		"Torque wrench 18-80 Nm":               true,
		"Drehmomentschlüssel 10 bis 100 N·m":   true,
		"Torque wrench, 7.5 to 110.5 lbf·ft":   true,
		"Torque wrench, 40 N·m to 200 N·m":     false,
		"Torque wrench, 5 N·m to 60 N·m":       false,
		"Torque wrench":                        false,
		"Socket 10-100 mm":                     false,
		"Torque wrench, 1.2.3 N·m to 900 N·m":  false,
		"Feeler gauges, 0 to 500; torque card": false,
	} {
		list := For(back(name))
		if got := list.Wrenches.Tool != nil; got != reaches {
			t.Errorf("%s: reaches: %v", name, got)
		}
		steps := list.Tools[0].Tools[0].Steps
		if want := map[bool][]int{true: {1, 2, 3}, false: {2}}[reaches]; !slices.Equal(steps, want) {
			t.Errorf("%s: needed in steps %v, want %v", name, steps, want)
		}
	}
}

func TestTreatments(t *testing.T) {
	var got []string
	for _, x := range For(back("")).Treatments {
		var ids []string
		for _, f := range x.Fasteners {
			ids = append(ids, f.ID)
		}
		got = append(got, fmt.Sprint(x.Name, ": ", strings.Join(ids, ","), " ", x.Steps))
	}
	want := []string{"Threadlocker, medium: 2,4 [1 2 3]", "oil: 3,5 [2 3]"}
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}
