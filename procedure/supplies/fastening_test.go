package supplies

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// back is a small refitting: three joints with torques in two units, an oiled nut, a
// bolt with a locking liquid. Step two asks for the first of the wrenches.
func back(wrenches ...string) *procedure.Job {
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
		Tools: []*procedure.Tool{{Row: procedure.Row{ID: "rope", Name: "Rope, 10 N·m to 900 N·m"}, Kind: procedure.Lifting}},
	}
	for i, name := range wrenches {
		m.Tools = append(m.Tools, &procedure.Tool{Row: procedure.Row{ID: fmt.Sprint("wrench-", i), Name: name}, Kind: procedure.HandTool})
	}
	m.Index()
	p := &procedure.Procedure{ID: "p", Machine: m, Steps: []*procedure.Step{
		{ID: "one", Blocks: []procedure.Block{actions("fit 1", "fit 2", "tighten 2", "tighten 1", "loosen 6")}},
		{ID: "two", Tools: refs("wrench-0"), Blocks: []procedure.Block{actions("fit 3", "fit 4", "tighten 5")}},
		{ID: "three", Blocks: []procedure.Block{actions("tighten 3", "tighten 4")}},
	}}
	return p.Jobs()[0]
}

// 59 lbf·ft are 79.993 N·m, a little below 80 N·m.
func TestWrench(t *testing.T) {
	const all = "[18 N·m 59 lbf·ft 80 N·m] [1 3]"
	for _, c := range []struct {
		registered []string
		left       string
		steps      []int // of the last registered wrench
	}{
		{[]string{"Breaker bar"}, all, []int{2}},
		{[]string{"Torque wrench"}, all, []int{2}},
		{[]string{"Socket 10-100 mm"}, all, []int{2}},
		{[]string{"Torque wrench, 1.2.3 N·m to 900 N·m"}, all, []int{2}},
		{[]string{"Torque wrench, 10 N·m to 100 N·m"}, "", []int{2}},
		{[]string{"Torque wrench 18-80 Nm"}, "", []int{2}},
		{[]string{"Drehmomentschlüssel 10 bis 100 N·m"}, "", []int{2}},
		{[]string{"Torque wrench, 7.5 to 110.5 lbf·ft"}, "", []int{2}},
		{[]string{"Torque wrench, 40 N·m to 200 N·m"}, "[18 N·m] [1]", []int{2}},
		{[]string{"Torque wrench, 40 N·m to 200 N·m", "Torque wrench, 5 N·m to 25 N·m"}, "", []int{1}},
		{[]string{"Torque wrench, 10 N·m to 100 N·m", "Torque wrench, 5 N·m to 150 N·m"}, "", nil},
		{[]string{"Ratchet", "Torque wrench, 5 N·m to 150 N·m"}, "", []int{1, 3}},
	} {
		list := For(back(c.registered...))
		left := ""
		if w := list.Wrench; w != nil {
			left = fmt.Sprint(w.Settings, w.Steps)
		}
		if left != c.left {
			t.Errorf("%q: left %s, want %s", c.registered, left, c.left)
		}
		var steps []int
		for _, tool := range list.Tools[0].Tools {
			if tool.Name == c.registered[len(c.registered)-1] {
				steps = tool.Steps
			}
		}
		if !slices.Equal(steps, c.steps) {
			t.Errorf("%q: the last one is needed in steps %v, want %v", c.registered, steps, c.steps)
		}
	}
}

func TestOneWrenchOrSeveral(t *testing.T) {
	for low, several := range map[string]bool{"16 N·m": false, "15 N·m": true} {
		if got := (Wrench{Settings: []measure.Quantity{measure.Must(low), measure.Must("80 N·m")}}).Several(); got != several {
			t.Errorf("%s and 80 N·m: several: %v", low, got)
		}
	}
}

func TestTreatments(t *testing.T) {
	var got []string
	for _, x := range For(back()).Treatments {
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

// A treatment that is a consumable of the register is found there; a thing that has its word further on is another one.
func TestTreatmentIsAConsumable(t *testing.T) {
	for name, want := range map[string]bool{
		"Oil": true, "oil, food grade": true, "Penetrating oil": false, "Oilcloth": false, "Ölkanne": false,
	} {
		job := back()
		tool := &procedure.Tool{Row: row("can"), Kind: procedure.Consumable}
		tool.Name = name
		job.Machine.Tools = append(job.Machine.Tools, tool)
		job.Machine.Index()
		for _, x := range For(job).Treatments {
			if is := x.Tool == tool; is != (want && x.Name == "oil") {
				t.Errorf("%s is the consumable %q: %v", x.Name, name, is)
			}
		}
	}
}
