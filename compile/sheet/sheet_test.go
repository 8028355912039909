package sheet

import (
	"bytes"
	"maps"
	"slices"
	"strconv"
	"strings"
	"testing"

	"matchmark/compile/pagetest"
	"matchmark/procedure"
	"matchmark/procedure/analysis"
)

func TestOneFilePerSheetAndVariant(t *testing.T) {
	want := []string{
		"procedure/out/checklist-belt.html", "procedure/out/checklist-chain.html",
		"procedure/out/labels-belt.html", "procedure/out/labels-chain.html", "procedure/out/lift-belt.html",
		"procedure/out/tools-belt.html", "procedure/out/tools-chain.html", "procedure/out/whole-belt.html", "procedure/out/whole-chain.html",
	}
	files := emit(t, library())
	if got := slices.Sorted(maps.Keys(files)); !slices.Equal(got, want) {
		t.Errorf("got %q", got)
	}
	again := emit(t, library())
	for name := range files {
		if !bytes.Equal(files[name], again[name]) {
			t.Errorf("%s comes out differently the second time", name)
		}
	}
}

func TestAMachineWithoutVariants(t *testing.T) {
	lib := library()
	lib.Machines[0].Variants = nil
	want := []string{"procedure/out/checklist.html", "procedure/out/labels.html", "procedure/out/lift.html", "procedure/out/tools.html", "procedure/out/whole.html"}
	if got := slices.Sorted(maps.Keys(emit(t, lib))); !slices.Equal(got, want) {
		t.Errorf("got %q", got)
	}
}

func TestAProcedureWithoutItsMachineIsRefused(t *testing.T) {
	lib := library()
	lib.Procedures[0].Machine = nil
	theme := pagetest.Theme(t)
	if err := EmitProcedure(lib, nil, theme, nil, analysis.New(lib.Procedures[0])); err == nil || !strings.Contains(err.Error(), "procedure out") {
		t.Errorf("got %v", err)
	}
}

func TestHead(t *testing.T) {
	p := pagetest.Page(t, emit(t, library()), "procedure/out/checklist-belt.html")
	pagetest.Expect(t, p, map[string][]string{
		"title":                     {"Checklist, Belt drive: Take the gearbox out · Workshop"},
		"h1":                        {"Take the gearbox out"},
		".sheet-kind":               {"Checklist"},
		".sheet-facts":              {"Belt drive · Dough mixer · edition 2"},
		".fields li":                {"Who", "Date", "Started at", "Finished at", "Machine number", "Trainer"},
		".sheet-code:not([hidden])": nil,
		"nav li a":                  {"Start", "Take the gearbox out"},
		"#ui_print":                 {"Print"},
	})
	if got, want := p.All("#ui_sheet")[0].Attributes["data-running"], "Checklist · Take the gearbox out · Belt drive · edition 2"; got != want {
		t.Errorf("running line %q, want %q", got, want)
	}
	if got := p.All("nav li a")[1].Attributes["href"]; got != "index.html" {
		t.Errorf("the procedure's crumb leads to %q", got)
	}
}

func TestLongTitlesAreCut(t *testing.T) {
	for title, want := range map[string]string{
		"Tools: short": "Tools: short",
		"Tool and consumables list, Belt drive: Take the drive gearbox out of the mixer": "Tool and consumables list, Belt drive: Take the drive gearbox out of…",
		strings.Repeat("ü", 71): strings.Repeat("ü", 69) + "…",
	} {
		if got := cut(title); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestChecklist(t *testing.T) {
	p := pagetest.Page(t, emit(t, library()), "procedure/out/checklist-belt.html")
	pagetest.Expect(t, p, map[string][]string{
		".check [aria-hidden]": {"1", "2", "3"},
		".check h2":            {"Step 1: Drain the oil", "Step 2: Let it cool", "Step 3: Lift it out"},
		// 10, 10+30 and 10+30+50.5 minutes, rounded to whole minutes.
		".check header strong": {"10 min", "40 min", "1 h 31 min"},
		".signal.danger":       {"Danger The oil is hot."},
		".check-key":           {"Key point: Catch the last drop"},
		".check .crew":         {"2 people"},
		".check .see":          {"Figure 1"},
		// Only the step without anything to tick keeps its words, and has a box of its own.
		".check-prose":              {"Wait until a hand can rest on it."},
		".check h2 i":               {"Step 1:", "", "Step 2:", "Step 3:"},
		".check-part":               {"Inspect: drive gearbox"},
		".hold-title":               {"Hold point: Before the lift"},
		".check-hold .rule":         {"Signature (trainer)", "Time"},
		".check-stop":               {"Work can be interrupted safely here."},
		".figure-number":            {"Figure 1"},
		".check-figures .balloon":   {"4"},
		".check-figures figcaption": {"The feet"},
	})
	var lines []string
	for _, li := range p.All(".check-lines li") {
		lines = append(lines, strconv.Itoa(len(li.All("i")))+" "+li.Text())
	}
	want := []string{
		"1 Drain gear oil into drip tray 2.5 L · Waste, goes to: used-oil drum",
		"2 Remove 4 foot bolt M12×1.25 × 40 mm · hex 18 mm · into feet",
		"1 × 12 Remove 9 cover screw M5",
		"1 Loosen 5 tab washer",
		"1 Leave in 6 rear bolt M16 carries the gearbox",
		"1 Remove left foot",
		"1 Lift G drive gearbox with chain hoist, web sling 64 kg",
		"1 Shaft play: at most 0.1 mm reading:",
		"1 Teeth: no chips",
		"1 Floor is clear",
		"1 Hook is shut",
	}
	if !slices.Equal(lines, want) {
		t.Errorf("lines:\n%s\nwant:\n%s", strings.Join(lines, "\n"), strings.Join(want, "\n"))
	}
}

// An inspect action is left out when a block of the step says what to look at.
func TestInspectionsAreNotTickedTwice(t *testing.T) {
	lib := library()
	lift := lib.Procedures[0].Steps[2]
	lift.Blocks = append(lift.Blocks, &procedure.ActionList{Actions: []*procedure.Action{
		{Verb: procedure.Inspect, Object: ref("gearbox")}, {Verb: procedure.Inspect, Object: ref("left-foot")},
	}})
	var lines []string
	for _, line := range pagetest.Page(t, emit(t, lib), "procedure/out/checklist-belt.html").Texts(".check-lines li") {
		if strings.HasPrefix(line, "Inspect") {
			lines = append(lines, line)
		}
	}
	if !slices.Equal(lines, []string{"Inspect left foot"}) {
		t.Errorf("got %q", lines)
	}
}

func TestChecklistHasOnlyTheVariantsSteps(t *testing.T) {
	p := pagetest.Page(t, emit(t, library()), "procedure/out/checklist-chain.html")
	pagetest.Expect(t, p, map[string][]string{".check h2": {"Step 1: Drain the oil", "Step 2: Let it cool"}, ".check header strong": {"10 min", "40 min"}, ".check-hold": nil})
}

func TestToolList(t *testing.T) {
	p := pagetest.Page(t, emit(t, library()), "procedure/out/tools-belt.html")
	pagetest.Expect(t, p, map[string][]string{
		".supplies h2": {"Tools", "Supports and stands", "Protection", "Containers", "Bags and labels", "Consumables", "Documents and drawings", "Waste", "Sheets to fill in"},
		".supplies tbody tr": {
			"ring spanner 18 mm only one in the shop 1 piece 1 also 3",
			"chain hoist rated 250 kg drive gearbox 64 kg 3",
			"web sling 2 legs · 60° no rating given drive gearbox 64 kg 3",
			"gloves 2 pieces 1",
			"drip tray 2 L gear oil 2.5 L. Too small: 2.5 L in all drains into it. 1",
			"feet 2 pieces No. 4 1",
			"Bag for step 1 12 pieces No. 9 1",
			"Part labels from the label sheet 2 pieces 3",
			"grease 15 g 1",
			"gear oil new, replaces the old one 2.5 L 1",
			"5 tab washer new, replaces the old one 1 piece 1",
			"drawing of the feet, revision C 1",
			"gear oil 2.5 L used-oil drum 1",
			"Lift sheet printed 1 piece 3",
		},
		".alarm": {"gear oil 2.5 L. Too small: 2.5 L in all drains into it."},
	})
	if rows, boxes := len(p.All("tbody tr")), len(p.All("tbody .box")); rows != boxes {
		t.Errorf("%d rows have %d boxes", rows, boxes)
	}
}

func TestLabels(t *testing.T) {
	p := pagetest.Page(t, emit(t, library()), "procedure/out/labels-belt.html")
	pagetest.Expect(t, p, map[string][]string{
		".bag h3":       {"feet", "Bag"},
		".bag tbody tr": {"4 foot bolt M12×1.25 × 40 mm 2", "9 cover screw M5 12"},
		".part h3":      {"left foot", "drive gearbox"},
		".part .letter": {"G"},
		".part .side":   {"LEFT"},
		".part dl div": {
			"Do not mix up with right foot",
			"Mark paint across the flange", "Orientation oil plug up", "Store pallet, hub up", "Mass 64 kg",
		},
	})
}

// The words of a sheet come from the table of the library's language, numbers with its decimal sign.
func TestGerman(t *testing.T) {
	lib := library()
	lib.Language = "de"
	p := pagetest.Page(t, emit(t, lib), "procedure/out/tools-belt.html")
	pagetest.Expect(t, p, map[string][]string{".sheet-kind": {"Werkzeug- und Materialliste"}})
	if got := p.Texts(".supplies .alarm"); len(got) != 1 || !strings.Contains(got[0], "2,5 L") {
		t.Errorf("the alarm reads %q", got)
	}
}
