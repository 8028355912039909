package site

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/pagetest"
)

func TestStepViewShowsTheStepsOfItsVariant(t *testing.T) {
	files := emitAll(t, library())
	for at, want := range map[string][]string{
		"procedure/out/steps-belt.html":  {"feet-off", "belts-off", "hoist-on", "lift", "ui_end"},
		"procedure/out/steps-chain.html": {"feet-off", "hoist-on", "lift", "ui_end"},
	} {
		var got []string
		for _, e := range pagetest.Page(t, files, at).All("article.step") {
			got = append(got, e.Attributes["id"])
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s has steps %v, want %v", at, got, want)
		}
	}
}

// Cautions stand before the action that they are about, in the page's order of
// reading too: the first ones even before the figure.
func TestCautionsComeFirst(t *testing.T) {
	files := emitAll(t, library())
	words := one(t, pagetest.Page(t, files, "procedure/out/steps-belt.html"), "#feet-off").Text()
	at := -1
	for _, next := range []string{"Danger It can drop.", "The feet", "Undo the two front bolts.", "Loosen Front foot bolt", "Notice Oil stains.", "Drain Gear oil"} {
		i := strings.Index(words, next)
		if i <= at {
			t.Errorf("%q does not come after what stands before it in: %s", next, words)
		}
		at = i
	}
	for _, signal := range []string{"danger", "warning", "caution", "notice"} {
		if panels := pagetest.Page(t, files, "procedure/out/steps-belt.html").All(".signal." + signal + " b"); len(panels) != 1 {
			t.Errorf("%s: %d panels, want one", signal, len(panels))
		}
	}
}

func TestBalloonsOfTheStepArePickedOut(t *testing.T) {
	step := one(t, pagetest.Page(t, emitAll(t, library()), "procedure/out/steps-belt.html"), "#feet-off")
	states := map[string]string{}
	for _, b := range step.All(".balloon") {
		states[b.Attributes["data-thing"]] = strings.TrimPrefix(b.Attributes["class"], "balloon ")
		link, linked := b.Attributes["href"]
		if quiet := strings.Contains(b.Attributes["class"], "quiet"); quiet == linked {
			t.Errorf("balloon %s: quiet %v, leads somewhere %v", b.Attributes["data-thing"], quiet, linked)
		}
		if linked && len(step.All(link)) != 1 {
			t.Errorf("the balloon leads to %s, which is no row of the step", link)
		}
	}
	want := map[string]string{"4": "active", "6": "kept", "9": "quiet", "gearbox": "quiet"}
	for id, state := range want {
		if states[id] != state {
			t.Errorf("balloon %s is %q, want %q", id, states[id], state)
		}
	}
	// More than colour tells them apart: a second ring and the verb's sign.
	if n := len(step.All(".balloon.active .halo")); n != 1 {
		t.Errorf("%d second rings, want one", n)
	}
	if n := len(step.All(".balloon .badge")); n != 2 {
		t.Errorf("%d verb signs, want one for the bolt that goes and one for the bolt that stays", n)
	}
	if got := one(t, step, "a.balloon.active").Attributes["aria-label"]; got != "4: Remove Front foot bolt" {
		t.Errorf("the balloon is called %q", got)
	}
}

func TestRowsToTick(t *testing.T) {
	step := one(t, pagetest.Page(t, emitAll(t, library()), "procedure/out/steps-belt.html"), "#feet-off")
	if got := one(t, step, ".i-tool").Text(); got != "Spanner 18 mm · Grease 15 g · Drawing, revision C" {
		t.Errorf("the step asks for %q", got)
	}
	var ticks []string
	for _, e := range step.All("menu li") {
		ticks = append(ticks, e.Attributes["class"]+" "+e.Attributes["id"]+e.Attributes["data-thing"])
	}
	// A row has its whole name where a balloon leads to it, and nothing where its number is its thing.
	want := []string{
		"i-loosen feet-off--loosen-4", "i-remove ", "kept i-keep feet-off--keep-6",
		"i-drain oil", "i-remove left-foot", "i-verify dead",
	}
	if !slices.Equal(ticks, want) {
		t.Errorf("ticks %v, want %v", ticks, want)
	}
	rows := step.All("menu li")
	for i, words := range []string{
		"4 Loosen Front foot bolt 2 pieces · M12×1.25 LH × 40 mm · 8.8 · hex 18 mm Left-hand thread: turn clockwise to undo",
		"4 Remove Front foot bolt hex 18 mm Left-hand thread: turn clockwise to undo Goes into: Bag 3 Single use: fit a new one", // its size was told with the first action
		"6 Leave in Rear bolt M16 · hex 24 mm it carries the gearbox",
		"Drain Gear oil into Drip tray Drain point: plug 7 Quantity: 2.5 L Waste, goes to: used-oil drum Hazard: slippery",
		"Remove Left foot Mark first: L across the seam Do not mix up with Right foot", // what it weighs stands in the panel of the lift
		"Prove: Proved dead",
	} {
		if got := rows[i].Text(); got != words {
			t.Errorf("row %d says %q, want %q", i+1, got, words)
		}
	}
}

func TestWhereThingsGo(t *testing.T) {
	page := pagetest.Page(t, emitAll(t, library()), "procedure/out/steps-belt.html")
	for id, words := range map[string]string{
		"#belts-off li.i-disconnect": "Disconnect V-belts Mark first: running direction Store: on the wide peg",
		"#hoist-on li.i-support":     "G Support Drive gearbox with Chain hoist and Chain sling Mass: 64 kg Chain hoist: up to 250 kg Chain sling: up to 400 kg",
		"#lift li.i-set-down":        "G Set down Drive gearbox Store: on the pallet, chocked Mass: 64 kg",
	} {
		if got := one(t, page, id).Text(); got != words {
			t.Errorf("%s says %q, want %q", id, got, words)
		}
	}
}

func TestHoldPoint(t *testing.T) {
	step := one(t, pagetest.Page(t, emitAll(t, library()), "procedure/out/steps-belt.html"), "#hoist-on")
	var holds []string
	for _, e := range step.All(".hold menu li") {
		holds = append(holds, e.Attributes["class"]+": "+e.Text())
	}
	want := []string{": Floor is clear", ": Hook is shut", "sign: Initials: trainer"}
	if !slices.Equal(holds, want) {
		t.Errorf("confirmations %v, want %v", holds, want)
	}
	if n := len(step.All(".safe-stop")); n != 1 {
		t.Errorf("%d safe places to stop, want the hold point's", n)
	}
}

// The plan that the script keeps the clock against. Expected times by the
// three-point estimate (a + 4m + b) / 6, worked out by hand: 7, 3, 8, 9 minutes.
func TestPlanForTheScript(t *testing.T) {
	page := pagetest.Page(t, emitAll(t, library()), "procedure/out/steps-belt.html")
	var got jobState
	assert.NilError(t, json.Unmarshal([]byte(one(t, page, "#ui_job").Text()), &got))
	if got.Old != "matchmark.job/out/belt/2" || got.Total != 27 || got.Plan != "27 min" {
		t.Errorf("job %+v", got)
	}
	for i, expected := range []float64{7, 3, 8, 9} {
		if got.Steps[i][3] != expected {
			t.Errorf("step %d: %v, expected time %v", i+1, got.Steps[i], expected)
		}
	}
}
