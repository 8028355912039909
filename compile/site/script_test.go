package site

import (
	"encoding/json"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/pagetest"
	"matchmark/procedure/schedule"
)

// outcomes runs programs one after the other with the scripts of the theme, and gives what each returns.
func outcomes[T any](t *testing.T, assets []string, programs map[string]string) map[string]T {
	t.Helper()
	var all []string
	for name, program := range programs {
		all = append(all, strconv.Quote(name)+": (function () {"+program+"})()")
	}
	var got map[string]T
	pagetest.Script(t, assets, "return {"+strings.Join(all, ",\n")+"};", &got)
	if len(got) != len(programs) {
		t.Fatalf("%d of %d programs returned something", len(got), len(programs))
	}
	return got
}

// device is a tablet with a store that may refuse, a clock, and a job to open on it.
const device = `
var kept = {}, refuse = false, at = 1000000;
var store = {
  get: function (k) { return kept[k] || null; },
  set: function (k, v) { if (refuse) return false; kept[k] = v; return true; },
  remove: function (k) { delete kept[k]; return true; },
};
function now() { return at; }
function wait(seconds) { at += seconds * 1000; }
var plan = { procedure: "out", way: "out", variant: "belt", edition: "2", content: "0123456789abcdef", old: "matchmark.job/out/belt/2" };
function open(change) { var job = matchmark.openJob(Object.assign({}, plan, change), store, now); job.tick(); return job; }
function back() { return open({ way: "back", old: "matchmark.job/out-back/belt/2" }); }
`

func TestClockOfTheStepView(t *testing.T) {
	cases := map[string]struct {
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
		"a closed page goes on where it was": {`var j = open(); j.goTo("a"); wait(10); j.tick(); j.tickRow("a--remove-4", true); j.confirm("a--sign", "AB"); wait(60); j = open();
			return [j.seconds("a"), +j.ticked("a--remove-4"), +(j.confirmed("a--sign") === "AB"), +(j.step() === "a")];`, []float64{70, 1, 1, 1}},
		"a clock that is set back takes no time away": {`var j = open(); j.goTo("a"); wait(10); j.tick(); wait(-3600); j.tick(); wait(5); j.tick();
			return [j.seconds("a")];`, []float64{15}},
		"one spell of work is extended, not written again": {`var j = open(); j.goTo("a"); for (var i = 0; i < 50; i++) { wait(1); j.tick(); }
			return [Object.keys(j.record().work).length];`, []float64{1}},
		"two windows on one step count its time once": {`var j = open(), k = open(); j.goTo("a"); k.goTo("a"); wait(10); j.tick(); j.save(); k.tick(); k.save(); j.save();
			return [j.seconds("a"), k.seconds("a"), j.total()];`, []float64{10, 10, 10}},
		"a device that keeps nothing is noticed": {`var j = open(); refuse = true; j.tickRow("x", true);
			return [+j.kept, +j.ticked("x")];`, []float64{0, 1}},
		"a broken record starts afresh": {`kept["matchmark.record.out.belt"] = "{"; var j = open(); j.goTo("a"); wait(5); j.tick();
			return [j.total()];`, []float64{5}},
		"starting over leaves nothing": {`var j = open(); j.goTo("a"); wait(10); j.tickRow("x", true); j.pass("a"); j.startOver(); j = open();
			return [j.total(), +j.ticked("x"), +j.passed("a")];`, []float64{0, 0, 0}},
		"the refitting has a clock and a place of its own": {`var j = open(); j.goTo("a"); wait(10); j.end(); j = back(); j.run(true); j.goTo("z"); wait(5); j.tick();
			return [j.total(), j.seconds("z"), +(j.step() === "z"), open().total(), +(open().step() === "a")];`, []float64{5, 5, 1, 10, 1}},
	}
	programs := map[string]string{}
	for name, c := range cases {
		programs[name] = device + c.program
	}
	for name, got := range outcomes[[]float64](t, []string{"record.js", "job.js"}, programs) {
		if want := cases[name].want; !slices.Equal(got, want) {
			t.Errorf("%s: got %v, want %v", name, got, want)
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
	assert.NilError(t, err)
	pagetest.Script(t, []string{"job.js"}, "return "+string(asked)+".map(matchmark.spell);", &got)
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}
