package supplies

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/state/statetest"
)

// job is a small job whose list can be worked out by hand: two steps undo feet
// and tank, a third lifts the gearbox.
func job() *procedure.Job {
	m := &procedure.Machine{
		Parts: []*procedure.Part{
			{Row: row("gearbox"), Mass: measure.Must("64 kg"), Stand: "on the pallet, hub up"},
			{Row: row("foot-left"), Side: "left"},
			{Row: row("frame"), Base: true},
		},
		Fasteners: []*procedure.Fastener{
			{Row: row("4"), Number: 4, Count: 2, Bag: "feet"},
			{Row: row("5"), Number: 5, Count: 1},
			{Row: row("6"), Number: 6, Count: 1, Bag: "feet"},
			{Row: row("7"), Number: 7, Kind: procedure.TabWasher, Count: 1, SingleUse: true},
			{Row: row("8"), Number: 8, Count: 3},
		},
		Connections: []*procedure.Connection{
			{Row: row("oil-line"), Mark: "paint stroke"}, {Row: row("strap")},
		},
		Fluids: []*procedure.Fluid{
			{Row: row("oil"), Quantity: measure.Must("2.5 L"), SingleUse: true},
			{Row: row("rest"), Quantity: measure.Must("600 mL")},
			{Row: row("water")},
		},
		Supports: []*procedure.Support{
			{Row: row("sling")}, {Row: row("hoist"), Capacity: measure.Must("250 kg")}, {Row: row("pallet")}, {Row: row("jack")},
		},
		Tools: []*procedure.Tool{
			{Row: row("rag"), Kind: procedure.Consumable},
			{Row: row("socket-18"), Kind: procedure.HandTool},
			{Row: row("unused"), Kind: procedure.HandTool},
			{Row: row("drip-tray"), Kind: procedure.Container, Quantity: measure.Must("3 L")},
			{Row: row("bucket"), Kind: procedure.Container, Quantity: measure.Must("10 L")},
			{Row: row("torque-wrench"), Kind: procedure.HandTool, Single: true},
		},
	}
	m.Index()
	p := &procedure.Procedure{ID: "p", Machine: m}
	p.Steps = []*procedure.Step{
		{ID: "one", Tools: refs("socket-18", "rag"), Blocks: []procedure.Block{
			actions("remove 4", "loosen 7", "keep 6", "drain oil into drip-tray", "disconnect oil-line", "disconnect strap"),
		}},
		{ID: "two", Tools: refs("torque-wrench", "sling"), Blocks: []procedure.Block{
			actions("remove 5", "remove 8", "remove 7", "drain rest into drip-tray", "drain water into bucket"),
		}},
		{ID: "three", Tools: refs("socket-18"), Blocks: []procedure.Block{
			actions("remove foot-left", "support gearbox with hoist, sling", "remove 6", "lift gearbox with hoist, sling", "set_down gearbox on pallet", "lift gearbox with hoist"),
		}},
	}
	return p.Jobs()[0]
}

func row(id string) procedure.Row { return procedure.Row{ID: id, Name: id} }

var refs = statetest.Refs

// actions reads "verb object [word with, with]"; an underscore in a verb stands for a space.
func actions(lines ...string) *procedure.ActionList {
	list := &procedure.ActionList{}
	for _, line := range lines {
		w := strings.SplitN(line, " ", 4)
		a := &procedure.Action{Verb: procedure.Verb(strings.ReplaceAll(w[0], "_", " ")), Object: procedure.Ref{ID: w[1]}}
		if len(w) == 4 {
			a.With = refs(strings.Split(w[3], ", ")...)
		}
		list.Actions = append(list.Actions, a)
	}
	return list
}

// 15 g in one step and 10 g in each of at most three rounds are 45 g, by hand.
func TestAmountsAreAddedUp(t *testing.T) {
	j := job()
	use := func(step int, tool, amount string) {
		s := j.Steps[step]
		s.Consumed, s.Amounts = append(s.Consumed, procedure.Ref{ID: tool}), append(s.Amounts, measure.Must(amount))
	}
	use(0, "rag", "15 g")
	use(1, "rag", "10 g")
	j.Steps[1].Round.Rounds = procedure.Estimate{Optimistic: 1, Likely: 2, Pessimistic: 3}
	rag := j.Machine.Thing("rag").Tool
	if got := Used(j, rag); !got.Equal(measure.Must("45 g")) {
		t.Errorf("used up: %s", got)
	}
	if got := (Tool{Tool: rag, Used: Used(j, rag)}).Amount(); !got.Equal(measure.Must("45 g")) {
		t.Errorf("lies ready: %s", got)
	}
	use(2, "rag", "5 mL")
	if got := Used(j, rag); !got.IsZero() {
		t.Errorf("grams and millilitres make %s", got)
	}
	tray := j.Machine.Thing("drip-tray").Tool
	if got := (Tool{Tool: tray, Used: Used(j, tray)}).Amount(); !got.Equal(measure.Must("3 L")) {
		t.Errorf("of what no step uses up %s lie ready", got)
	}
}

func TestWasteGoesSomewhere(t *testing.T) {
	j := job()
	m := j.Machine
	m.Thing("oil").Fluid.Waste, m.Thing("8").Fastener.Waste, m.Thing("foot-left").Part.Waste, m.Thing("rag").Tool.Waste = "used-oil drum", "scrap box", "scrap box", "oily rags bin"
	m.Thing("unused").Tool.Waste = "nowhere"
	j.Steps[0].Consumed, j.Steps[0].Amounts = refs("rag"), []measure.Quantity{measure.Must("2 pcs")}
	var got []string
	for _, w := range For(j).Wastes {
		got = append(got, fmt.Sprintf("%s %s%d %v %s", w.Row.ID, w.Amount, w.Pieces, w.Steps, w.Goes))
	}
	want := []string{"8 3 [2] scrap box", "foot-left 1 [3] scrap box", "oil 2.5 L0 [1] used-oil drum", "rag 2 pcs0 [1] oily rags bin"}
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

func TestTools(t *testing.T) {
	var got []string
	for _, g := range For(job()).Tools {
		for _, tool := range g.Tools {
			got = append(got, fmt.Sprint(g.Kind, " ", tool.ID, " ", tool.Steps))
		}
	}
	want := []string{"tool socket-18 [1 3]", "tool torque-wrench [2]", "container drip-tray [1 2]", "container bucket [2]", "consumable rag [1]"}
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

func TestSupports(t *testing.T) {
	var got []string
	for _, s := range For(job()).Supports {
		var parts []string
		for _, p := range s.Parts {
			parts = append(parts, p.ID)
		}
		got = append(got, fmt.Sprint(s.ID, " ", s.Steps, " ", parts))
	}
	want := []string{"sling [2 3] [gearbox]", "hoist [3] [gearbox]", "pallet [3] [gearbox]"}
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

// 2.5 L fit into the 3 L tray; 0.6 L more do not. The bucket's content is not stated.
func TestDrains(t *testing.T) {
	var got []string
	for _, d := range For(job()).Drains {
		got = append(got, fmt.Sprint(d.Fluid.ID, " ", d.Step, " ", d.Container.ID, " ", d.Held, " ", d.Fit))
	}
	want := []string{
		fmt.Sprint("oil 1 drip-tray 2.5 L ", FitsIn),
		fmt.Sprint("rest 2 drip-tray 3.1 L ", Overflows),
		fmt.Sprint("water 2 bucket  ", FitUnknown),
	}
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

func TestFillsExactlyToTheBrim(t *testing.T) {
	c := content{}.with(measure.Must("2.5 L")).with(measure.Must("500 mL"))
	if got := c.fit(measure.Must("3 L")); got != FitsIn {
		t.Errorf("3 L into 3 L: %v", got)
	}
	if got := c.fit(measure.Must("3 kg")); got != FitUnknown {
		t.Errorf("3 L into 3 kg: %v", got)
	}
	if got := c.with(measure.Quantity{}).with(measure.Must("1 L")).fit(measure.Must("9 L")); got != FitUnknown {
		t.Errorf("an unknown quantity on the way: %v", got)
	}
	if got := c.with(measure.Must("1 kg")).fit(measure.Must("9 L")); got != FitUnknown {
		t.Errorf("a mass among volumes: %v", got)
	}
}

func TestRenewals(t *testing.T) {
	var got []string
	for _, r := range For(job()).Renewals {
		switch {
		case r.Fastener != nil:
			got = append(got, fmt.Sprint("fastener ", r.Fastener.ID, " ", r.Step))
		case r.Fluid != nil:
			got = append(got, fmt.Sprint("fluid ", r.Fluid.ID, " ", r.Step))
		}
	}
	if want := []string{"fastener 7 1", "fluid oil 1"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// Fasteners of one named bag share it over steps; those without a bag share one per step.
func TestBags(t *testing.T) {
	var got []string
	for _, b := range For(job()).Bags {
		var items []string
		for _, i := range b.Items {
			items = append(items, fmt.Sprint(i.ID, "@", i.Step))
		}
		got = append(got, fmt.Sprintf("%q %d %v %d", b.Name, b.Step, items, b.Pieces()))
	}
	want := []string{`"feet" 1 [4@1 6@3] 3`, `"" 2 [5@2 8@2 7@2] 5`}
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

// A plug that goes back in on the same day is in no bag; one that goes in only where something is found may lie in it.
func TestNoBagForWhatGoesBackIn(t *testing.T) {
	for when, want := range map[procedure.When]int{"": 0, "worn": 1} {
		plug := &procedure.Fastener{Row: statetest.Row("7", "plug"), Count: 1, Bag: "Bag 4"}
		m := &procedure.Machine{Fasteners: []*procedure.Fastener{plug}}
		m.Index()
		act := func(v procedure.Verb) procedure.Block {
			return &procedure.ActionList{Actions: []*procedure.Action{{Verb: v, Object: procedure.Ref{ID: "7"}}}}
		}
		j := &procedure.Job{Machine: m, Steps: []*procedure.Step{{Number: 1, Blocks: []procedure.Block{act(procedure.Remove)}}, {Number: 2, If: when, Blocks: []procedure.Block{act(procedure.Fit)}}}}
		if got := Bags(j); len(got) != want {
			t.Errorf("fitted if %q: bags %v, want %d", when, got, want)
		}
	}
}

func TestLabels(t *testing.T) {
	var got []string
	for _, l := range For(job()).Labels {
		switch {
		case l.Part != nil:
			got = append(got, fmt.Sprint("part ", l.Part.ID, " ", l.Step))
		case l.Connection != nil:
			got = append(got, fmt.Sprint("connection ", l.Connection.ID, " ", l.Step))
		}
	}
	if want := []string{"connection oil-line 1", "part foot-left 3", "part gearbox 3"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// On a refitting a part is lifted to where it belongs; what comes off all the same gets a label.
func TestLabelsOfAWayBack(t *testing.T) {
	j := job()
	j.Procedure.Removal = &procedure.Procedure{}
	var got []string
	for _, l := range Labels(j) {
		if l.Part != nil {
			got = append(got, l.Part.ID)
		}
	}
	if !slices.Equal(got, []string{"foot-left"}) {
		t.Errorf("got %q", got)
	}
}

func TestNothingRegistered(t *testing.T) {
	m := &procedure.Machine{}
	m.Index()
	p := &procedure.Procedure{Machine: m, Steps: []*procedure.Step{{Tools: refs("ghost"), Blocks: []procedure.Block{
		actions("remove 99", "drain ghost into ghost", "lift ghost with ghost")}}}}
	l := For(p.Jobs()[0])
	if len(l.Tools)+len(l.Supports)+len(l.Drains)+len(l.Renewals)+len(l.Treatments)+len(l.Bags)+len(l.Labels) != 0 || l.Wrench != nil {
		t.Errorf("something out of nothing: %+v", l)
	}
}
