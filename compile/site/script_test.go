package site

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"os/exec"
	"slices"
	"testing"

	"matchmark/procedure/schedule"
	"matchmark/themes"
)

// run runs a script of the theme in node with a program after it, and decodes
// what the program returns. It needs node to be installed.
func run(t *testing.T, asset, program string, result any) {
	t.Helper()
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("node is not installed")
	}
	theme, err := themes.Load()
	if err != nil {
		t.Fatal(err)
	}
	source, err := fs.ReadFile(theme.Assets(), asset)
	if err != nil {
		t.Fatal(err)
	}
	page := "globalThis.matchmark = { words: function () {} }; globalThis.document = { getElementById: function () { return null; } };\n"
	command := exec.Command(node, "-")
	command.Stdin = bytes.NewReader([]byte(page + string(source) + "\nconsole.log(JSON.stringify((function () {" + program + "})()));"))
	var complaint bytes.Buffer
	command.Stderr = &complaint
	output, err := command.Output()
	if err != nil {
		t.Fatalf("%v: %s", err, complaint.String())
	}
	if err := json.Unmarshal(output, result); err != nil {
		t.Fatalf("%v in %s", err, output)
	}
}

const device = `
var kept = {}, refuse = false, at = 1000000;
var store = {
  get: function (k) { return kept[k] || null; },
  set: function (k, v) { if (refuse) return false; kept[k] = v; return true; },
  remove: function (k) { delete kept[k]; return true; },
};
function now() { return at; }
function wait(seconds) { at += seconds * 1000; }
function open() { var job = matchmark.openJob("key", store, now); job.tick(); return job; }
`

func TestClockOfTheStepView(t *testing.T) {
	for name, c := range map[string]struct {
		program string
		want    []float64
	}{
		"time runs on the step that is shown": {`var j = open(); j.goTo("a"); wait(60); j.goTo("b"); wait(30); j.tick();
			return [j.seconds("a"), j.seconds("b"), j.total()];`, []float64{60, 30, 90}},
		"a pause does not count": {`var j = open(); j.goTo("a"); wait(60); j.run(false); wait(500); j.run(true); wait(5); j.tick();
			return [j.seconds("a")];`, []float64{65}},
		"a sleeping screen counts up to a quarter of an hour": {`var j = open(); j.goTo("a"); wait(900); j.tick();
			return [j.seconds("a"), +j.running()];`, []float64{900, 1}},
		"after a longer absence the clock has stopped": {`var j = open(); j.goTo("a"); wait(10); j.tick(); wait(901); j.tick();
			return [j.seconds("a"), +j.running(), +j.away];`, []float64{10, 0, 1}},
		"a closed page goes on where it was": {`var j = open(); j.goTo("a"); wait(10); j.tick(); j.set("a--remove-4", true); j.set("a--sign", "AB"); wait(60); j = open();
			return [j.seconds("a"), +j.value("a--remove-4"), +(j.value("a--sign") === "AB"), +(j.step() === "a")];`, []float64{70, 1, 1, 1}},
		"a clock that is set back takes no time away": {`var j = open(); j.goTo("a"); wait(10); j.tick(); wait(-3600); j.tick(); wait(5); j.tick();
			return [j.seconds("a")];`, []float64{15}},
		"a device that keeps nothing is noticed": {`var j = open(); refuse = true; j.set("x", true);
			return [+j.kept, +j.value("x")];`, []float64{0, 1}},
		"broken progress starts afresh": {`kept.key = "{"; var j = open(); j.goTo("a"); wait(5); j.tick();
			return [j.total()];`, []float64{5}},
		"starting over leaves nothing": {`var j = open(); j.goTo("a"); wait(10); j.set("x", true); j.pass("a"); j.clear();
			return [j.total(), +Boolean(j.value("x")), +j.passed("a"), +("key" in kept)];`, []float64{0, 0, 0, 0}},
	} {
		var got []float64
		run(t, "job.js", device+c.program, &got)
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: got %v, want %v", name, got, c.want)
		}
	}
}

// A duration reads the same on a page and from its script.
func TestDurationsInTheScript(t *testing.T) {
	minutes := []float64{0, 0.4, 0.5, 1, 1.5, 12.4, 59.4, 59.5, 60, 61, 119.6, 120, 243.2}
	var want, got []string
	for _, m := range minutes {
		want = append(want, schedule.Duration(m))
	}
	asked, err := json.Marshal(minutes)
	if err != nil {
		t.Fatal(err)
	}
	run(t, "job.js", "return "+string(asked)+".map(matchmark.spell);", &got)
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestSearchFinds(t *testing.T) {
	const index = `[["Step", "Café-Öl ablassen", "Große Maschine", "1"], ["Fastener", "4 Front bolt, M12×1.25 × 40 mm", "Mixer", "2"],
		["Part", "Front foot", "Mixer with a bolt", "3"], ["Machine", "Smørebrød-Anlage", "", "4"]]`
	for asked, want := range map[string][]string{
		"cafe ol":      {"1"},      // accents do not count
		"GROSSE":       {"1"},      // nor case, nor the sharp s
		"smorebrod":    {"4"},      // nor letters with a stroke
		"ront":         {},         // a word counts from its beginning
		"fro bo":       {"2", "3"}, // every word must be there; hits in the title come first
		"front hammer": {},
		"m12x1.25":     {"2"}, // written with x, shown with a cross
		"step":         {"1"}, // the kind counts as a word
	} {
		var got []string
		quoted, err := json.Marshal(asked)
		if err != nil {
			t.Fatal(err)
		}
		run(t, "search.js", "var s = matchmark.search; return s.find("+index+".map(s.entryOf), "+string(quoted)+").map(function (e) { return e.link; });", &got)
		if !slices.Equal(got, want) {
			t.Errorf("%q finds %v, want %v", asked, got, want)
		}
	}
}
