package refit

import (
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"gotest.tools/v3/assert"

	"matchmark/procedure"
	"matchmark/procedure/state"
	"matchmark/procedure/state/statetest"
)

// english returns the words of testdata; a key that is asked for and not listed fails the test.
func english(t *testing.T) Words {
	t.Helper()
	src, err := os.ReadFile("testdata/words.en.yaml")
	assert.NilError(t, err)
	table := map[string]string{}
	assert.NilError(t, yaml.Unmarshal(src, &table))
	return func(key string, args ...any) string {
		if table[key] == "" {
			t.Errorf("no words for %q", key)
		}
		s := table[key]
		for i, a := range args {
			s = strings.ReplaceAll(s, "{"+strconv.Itoa(i)+"}", fmt.Sprint(a))
		}
		return s
	}
}

// jobBack derives the refitting of one job.
func jobBack(t *testing.T, out *state.Trace, add Additions) *procedure.Job {
	t.Helper()
	return Run(out, add, english(t)).Job
}

const mixer = `
base frame
part hood 12
part hub 6 mark face under=hood
part gearbox 64 under=hood,hub face
part left-foot 3 side=left twin=right-foot mark under=hood
part right-foot 3 side=right twin=left-foot mark under=hood
part motor 46
bolt 1 hood frame
bolt 2 motor frame
washer 3 hub gearbox locks=4 single-use
nut 4 hub gearbox torque=260
bolt 5 left-foot gearbox torque=80
bolt 6 right-foot gearbox torque=80
bolt 7 gearbox frame torque=190 sequence=crosswise
bolt 8 gearbox frame torque=190
plug 9 gearbox
nut 10 locks=11
screw 11
pin 12 hub gearbox
clamp 13 motor
bolt 16 gearbox brought
clamp 14 motor torque=3
clamp 15 locks=11
hose line gearbox frame carries=oil
plug-in plug motor frame
cable lead motor frame
strap earth motor frame
belt belt motor gearbox needs=slack mark
fluid oil single-use flush
hoist hoist 250
sling sling 400
stand pallet 500
hands helper 40
jack jack 100
condition slack needs=dead undo
condition cool
condition stopped undo
energy isolated needs=stopped undo
energy dead needs=isolated undo
`

// written writes a job's steps, one a line: name, then actions; "|" is a hold point.
func written(job *procedure.Job) string {
	var lines []string
	for _, s := range job.Steps {
		var actions []string
		for _, a := range s.Actions() {
			word := string(a.Verb) + " "
			if a.Count.N > 0 {
				word += strconv.Itoa(a.Count.N) + " of "
			}
			word += a.Object.ID
			for i, r := range a.With {
				word += map[bool]string{true: " with ", false: ", "}[i == 0] + r.ID
			}
			actions = append(actions, word)
		}
		line := s.ID + ": " + strings.Join(actions, "; ")
		if state.Hold(s) != nil {
			line += " |"
		}
		lines = append(lines, line)
	}
	return strings.Join(lines, "\n")
}

func TestTurnedRound(t *testing.T) {
	tests := []struct{ name, steps, want string }{
		{"fasteners before they are tightened", "a: remove 7\nb: remove 8",
			"b-back: fit 8\na-back: fit 7; tighten 8; tighten 7 |"},
		{"tightened in the reverse of loosening", "a: loosen 7; loosen 8; remove 7; remove 8",
			"a-back: fit 8; fit 7; tighten 8; tighten 7 |"},
		{"names on one line keep their order", "a: loosen 7, 8; remove 7, 8",
			"a-back: fit 7; fit 8; tighten 7; tighten 8 |"},
		{"only loosened", "a: loosen 2", "a-back: tighten 2 |"},
		{"pins are tight at once", "a: remove 12", "a-back: fit 12 |"},
		{"a clip is in place once it is fitted", "a: loosen 13; remove 13", "a-back: fit 13 |"},
		{"a clip that was only loosened", "a: loosen 13", "a-back: tighten 13 |"},
		{"a pin that was only loosened", "a: loosen 12", "a-back: tighten 12 |"},
		{"a clamp with a torque", "a: remove 14", "a-back: fit 14; tighten 14 |"},
		{"a clip that locks", "a: remove 15; loosen 11", "a-back: tighten 11; fit 15 |"},
		{"a clip that locks and was only loosened, last", "a: loosen 11\nb: loosen 15", "a-back: tighten 11; tighten 15 |"},
		{"fitted again on the way", "a: remove 1; remove hood\nb: fit hood; fit 1; tighten 1", ""},
		{"tab washer after its nut", "a: loosen 3\nb: remove 4; remove 3; remove hub",
			"b-back: fit hub; fit 3; fit 4; tighten 4\na-back: tighten 3 |"},
		{"lock nut after what it locks", "a: loosen 10; loosen 11", "a-back: tighten 11; tighten 10 |"},
		{"lock nut that was undone last", "a: loosen 11\nb: loosen 10", "a-back: tighten 11; tighten 10 |"},
		{"part by hand", "a: remove 1; remove hood", "a-back: fit hood; fit 1; tighten 1 |"},
		{"part held by a helper", "a: support hood with helper; remove 1; remove hood",
			"a-back: support hood with helper; fit hood; fit 1; tighten 1; release hood with helper |"},
		{"lift", "a: support gearbox with hoist, sling; remove 7, 8; hold\nb: lift gearbox with hoist, sling\nc: set down gearbox on pallet; release gearbox from hoist, sling",
			"c-back: support gearbox with hoist, sling |\nb-back: lift gearbox with hoist, sling; fit gearbox\na-back: fit 7; fit 8; tighten 7; tighten 8; release gearbox with hoist, sling |"},
		{"lift in one step", "a: support gearbox with hoist; remove 7, 8; hold\nb: lift gearbox with hoist; set down gearbox on pallet; release gearbox from hoist",
			"b-back-ready: support gearbox with hoist |\nb-back: lift gearbox with hoist; fit gearbox\na-back: fit 7; fit 8; tighten 7; tighten 8; release gearbox with hoist |"},
		{"gear left on", "a: support gearbox with hoist; remove 7, 8; hold\nb: lift gearbox with hoist; set down gearbox on pallet",
			"b-back-ready:  |\nb-back: lift gearbox with hoist; fit gearbox\na-back: fit 7; fit 8; tighten 7; tighten 8; release gearbox with hoist |"},
		{"support stays until the joint is tight", "a: remove 7\nb: support gearbox with hoist\nc: remove 8; hold\nd: lift gearbox with hoist; set down gearbox on pallet; release gearbox from hoist",
			"d-back-ready: support gearbox with hoist |\nd-back: lift gearbox with hoist; fit gearbox\nc-back: fit 8\na-back: fit 7; tighten 8; tighten 7\nb-back: release gearbox with hoist |"},
		{"support that another part wants", "a: remove 7\nx: support motor with hoist; remove 2; hold\ny: lift motor with hoist; set down motor on pallet; release motor from hoist\nb: support gearbox with hoist\nc: remove 8; hold\nd: lift gearbox with hoist; set down gearbox on pallet; release gearbox from hoist",
			"d-back-ready: support gearbox with hoist |\nd-back: lift gearbox with hoist; fit gearbox\nc-back: fit 8\nb-back: tighten 8; release gearbox with hoist\ny-back-ready: support motor with hoist |\ny-back: lift motor with hoist; fit motor\nx-back: fit 2; tighten 2; release motor with hoist\na-back: fit 7; tighten 7 |"},
		{"on the bench", "a: remove 7, 8; support gearbox with hoist; hold\nb: lift gearbox with hoist; set down gearbox on pallet\nc: remove 5; remove left-foot",
			"c-back: fit left-foot; fit 5; tighten 5 |\nb-back: lift gearbox with hoist; fit gearbox\na-back: fit 7; fit 8; tighten 7; tighten 8; release gearbox with hoist |"},
		{"fluid after its circuit", "a: remove 9; drain oil\nb: disconnect line",
			"b-back: connect line\na-back: fit 9; tighten 9; flush oil; fill oil |"},
		{"flushed already", "a: drain oil; flush oil", "a-back: fill oil |"},
		{"condition at its place", "a: establish slack\nb: disconnect belt", "b-back: connect belt\na-back: undo slack |"},
		{"what was brought goes on and comes off again", "a: fit 16; tighten 16; support gearbox with hoist; remove 7, 8; hold\nb: lift gearbox with hoist; set down gearbox on pallet; release gearbox from hoist\nc: remove 16",
			"c-back: fit 16; tighten 16\nb-back-ready: support gearbox with hoist |\nb-back: lift gearbox with hoist; fit gearbox\na-back: fit 7; fit 8; tighten 7; tighten 8; release gearbox with hoist; remove 16 |"},
		{"what was kept on comes off", "a: fit 16; tighten 16; keep 16", "a-back: remove 16 |"},
		{"passes by itself", "a: establish cool", ""},
		{"energy last", "a: establish stopped\nb: establish isolated\nc: establish dead; verify dead, isolated\nd: establish slack\ne: disconnect belt",
			"refit-start: verify dead; verify isolated\ne-back: connect belt\nd-back: undo slack |\nrefit-end: undo isolated; undo dead; undo stopped"},
	}
	for _, test := range tests {
		out := state.Run(statetest.Job(mixer, test.steps))
		job := jobBack(t, out, Additions{})
		if got := written(job); got != test.want {
			t.Errorf("%s: the refitting is\n%s\nwant\n%s", test.name, got, test.want)
		}
		if missing := Missing(out, out.Then(job), Additions{}); len(missing) > 0 {
			t.Errorf("%s: missing at the end: %v", test.name, missing)
		}
	}
}
