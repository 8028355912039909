package state_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/state"
	"matchmark/procedure/state/statetest"
)

// ids writes the names of things.
func ids[T any](things []T, id func(T) string) string {
	var out []string
	for _, x := range things {
		out = append(out, id(x))
	}
	return strings.Join(out, " ")
}

func partID(p *state.Part) string             { return p.ID }
func fastenerID(f *state.Fastener) string     { return f.ID }
func connectionID(c *state.Connection) string { return c.ID }
func conditionID(c *state.Condition) string   { return c.ID }
func supportID(x *state.Support) string       { return x.ID }

// The last action of each list: what it is, which parts move with it, which conditions end.
func TestEvents(t *testing.T) {
	const up = "support gearbox with hoist; remove 4, 5; lift gearbox with hoist"
	const down = up + "; set down gearbox on pallet"
	const apart = down + "; remove 8, 12, 13, 14"
	tests := []struct{ actions, is, moved, lost string }{
		{"remove hood", "leaves departs changes works", "hood", ""},
		{"remove hood; remove hood", "changes works", "", ""},
		{"mark hood", "", "", ""},
		{"inspect hood", "", "", ""},
		{"clean hood", "", "", ""},
		{"keep 4", "", "", ""},
		{"verify dead", "", "", ""},
		{"loosen 4", "changes works", "", ""},
		{"remove 4", "changes works", "", ""},
		{"remove 4; fit 4", "changes works", "", ""},
		{"tighten 4", "changes works", "", ""},
		{"disconnect line", "changes works", "", ""},
		{"connect line", "changes works", "", ""},
		{"drain oil", "changes works", "", ""},
		{"flush oil", "changes works", "", ""},
		{"fill oil", "changes works", "", ""},
		{"support gearbox with hoist", "changes", "", ""},
		{"release gearbox from hoist", "changes", "", ""},
		{"establish isolated", "changes", "", ""},
		{"undo isolated", "changes", "", ""},
		{"remove nothing", "changes", "", ""},
		{up, "leaves departs changes works", "gearbox hub lamp", ""},
		{up + "; lift gearbox with hoist", "changes works", "", ""},
		{"lift gearbox with hoist", "leaves departs changes works", "gearbox", ""}, // what hangs on the machine is left there
		{down, "changes", "gearbox hub lamp", ""},
		{down + "; set down gearbox on pallet", "changes", "", ""},
		{down + "; lift gearbox with hoist", "changes works", "gearbox hub lamp", ""},
		{down + "; fit gearbox", "changes works", "gearbox hub lamp", ""},
		{down + "; fit gearbox; fit gearbox", "changes works", "", ""},
		{apart + "; remove lamp", "departs changes works", "lamp", ""},
		{apart + "; lift lamp with sling", "departs changes works", "lamp", ""},
		{down + "; lift lamp with sling", "departs changes works", "lamp", ""}, // still fastened: the order check speaks of it
		{up + "; remove 8, 12, 13, 14; lift lamp with sling", "changes works", "", ""},
		{apart + "; remove lamp; fit lamp", "changes works", "lamp", ""},
		{apart + "; remove lamp; remove lamp", "changes works", "", ""},
		{"establish isolated, dead, slack; undo isolated", "changes", "", "dead slack"},
		{"establish isolated, dead, slack; undo dead", "changes", "", "slack"},
		{"establish isolated, dead, slack; connect belt", "changes works", "", "slack"},
		{"establish dead; undo isolated", "changes", "", "dead"},
		{"establish isolated; undo isolated; undo isolated", "changes", "", ""},
	}
	for _, test := range tests {
		trace := state.Run(statetest.Job(mixer, "s: "+test.actions))
		e := &trace.Events[len(trace.Events)-1]
		got := strings.TrimSpace(when(e.Leaves(), "leaves") + when(e.Departs(), " departs") + when(e.Changes(), " changes") + when(e.Works(), " works"))
		if moved, lost := ids(e.Moved, partID), ids(e.Lost, conditionID); got != test.is || moved != test.moved || lost != test.lost {
			t.Errorf("%s: %q, moves %q, ends %q; want %q, %q, %q", test.actions, got, moved, lost, test.is, test.moved, test.lost)
		}
	}
}

// What ends a condition: each kind of thing in its lost-by column, when it is fitted, connected, filled or established.
func TestWhatEndsConditions(t *testing.T) {
	const machine = `
base frame
part hood 6
bolt 1 hood frame
hose line hood frame
fluid oil
condition dry lost-by=hood
condition clean lost-by=hood,line,oil,warm,1
condition warm
`
	for actions, want := range map[string]string{
		"establish clean; remove hood; fit hood":                   "lost",
		"establish clean; remove hood":                             "established",
		"establish clean; disconnect line; connect line":           "lost",
		"establish clean; disconnect line":                         "established",
		"establish clean; drain oil; fill oil":                     "lost",
		"establish clean; drain oil":                               "established",
		"establish clean; establish warm":                          "lost",
		"establish warm; establish clean; undo warm":               "established",
		"establish clean; remove 1; fit 1; tighten 1":              "established", // fasteners end nothing
		"establish clean; establish warm; establish clean":         "established",
		"establish clean; remove hood; fit hood; undo clean":       "open",
		"remove hood; fit hood":                                    "open",
		"establish clean; fit hood":                                "established", // it was in its place
		"establish clean; verify clean; connect line":              "lost",
		"establish clean; connect line; verify clean":              "lost",
		"establish clean; verify clean; establish clean":           "verified",
		"establish clean; verify clean; verify warm; inspect hood": "verified",
	} {
		if got := words(state.Run(statetest.Job(machine, "s: "+actions)).End(), "clean"); got != want {
			t.Errorf("%s: clean is %s, want %s", actions, got, want)
		}
	}
}

// lastOf is the index of the event that last changed a thing.
func lastOf(s *state.State, id string) int32 {
	a := s.Assembly
	if f := a.Fastener(id); f != nil {
		return s.Fastener(f).Last
	}
	if p := a.Part(id); p != nil {
		return s.Part(p).Last
	}
	if c := a.Connection(id); c != nil {
		return s.Connection(c).Last
	}
	if f := a.Fluid(id); f != nil {
		return s.Fluid(f).Last
	}
	return s.Condition(a.Condition(id)).Last
}

func TestLastChange(t *testing.T) {
	tests := []struct {
		actions, id string
		last        int32
	}{
		{"mark 4; keep 4", "4", state.None},
		{"mark 4; loosen 4; loosen 4", "4", 1},
		{"remove 4; remove 4; fit 4; mark 4", "4", 2},
		{"fit 4; tighten 4", "4", state.None},
		{"support gearbox with hoist; mark gearbox", "gearbox", state.None},
		{"loosen 4; remove hood; remove hood", "hood", 1},
		{"remove 1; remove hood; fit hood; fit hood", "hood", 2},
		{"remove 4; remove 5; remove gearbox", "lamp", 2},
		{"remove 4; remove 5; remove gearbox; fit gearbox", "lamp", 3},
		{"mark line; connect line", "line", state.None},
		{"mark line; disconnect line; disconnect line", "line", 1},
		{"disconnect line; connect line; mark line", "line", 1},
		{"flush oil; fill oil", "oil", state.None},
		{"mark 4; drain oil; drain oil", "oil", 1},
		{"drain oil; flush oil; flush oil", "oil", 1},
		{"drain oil; flush oil; fill oil; fill oil", "oil", 2},
		{"verify isolated; undo isolated", "isolated", state.None},
		{"mark 4; establish isolated; establish isolated", "isolated", 1},
		{"establish isolated; verify isolated; verify isolated", "isolated", 1},
		{"establish isolated; establish dead; undo isolated", "dead", 2},
	}
	for _, test := range tests {
		end := state.Run(statetest.Job(mixer, "s: "+test.actions)).End()
		if got := lastOf(end, test.id); got != test.last {
			t.Errorf("%s: %s was last changed by %d, want %d", test.actions, test.id, got, test.last)
		}
	}
	end := state.Run(statetest.Job(mixer, "s: mark 5; keep 4; loosen 4; keep 4; mark line")).End()
	if got := end.Fastener(end.Assembly.Fastener("4")).Kept; got != 3 {
		t.Errorf("4 was last kept by %d, want 3", got)
	}
	if !end.Connection(end.Assembly.Connection("line")).Marked || end.Connection(end.Assembly.Connection("belt")).Marked {
		t.Error("the mark is not on the line alone")
	}
}

// The state after each of many events, against a plain count.
func TestEveryMoment(t *testing.T) {
	var steps []string
	var want []string
	is := "tight"
	for k := range 40 {
		verb := [...]string{"loosen 4", "remove 4", "mark 5", "fit 4", "inspect 4", "tighten 4"}[k%6]
		switch k % 6 {
		case 0, 3:
			is = "loose"
		case 1:
			is = "out"
		case 5:
			is = "tight"
		}
		steps = append(steps, fmt.Sprintf("s%d: %s", k, verb))
		want = append(want, is)
	}
	trace := state.Run(statetest.Job(mixer, strings.Join(steps, "\n")))
	for k, is := range want {
		if got := words(trace.After(k), "4"); got != is {
			t.Errorf("after step %d 4 is %s, want %s", k, got, is)
		}
		before := "tight"
		if k > 0 {
			before = want[k-1]
		}
		if e := trace.Event(int32(k)); words(e.Before, "4") != before || words(e.After, "4") != is || e.Index != k || e.Step.ID != fmt.Sprint("s", k) {
			t.Errorf("event %d: from %s to %s, want %s to %s", k, words(e.Before, "4"), words(e.After, "4"), before, is)
		}
	}
}

func TestStepsOfATrace(t *testing.T) {
	trace := state.Run(statetest.Job(mixer, "a: loosen 4; remove 4\nb: hold\nc: remove 5; drain oil"))
	verbs := func(events []state.Event) string {
		return ids(events, func(e state.Event) string { return string(e.Action.Verb) + " " + e.Action.Object.ID })
	}
	for i, want := range []string{"loosen 4 remove 4", "", "remove 5 drain oil"} {
		if got := verbs(trace.Step(i)); got != want {
			t.Errorf("step %d: %q, want %q", i, got, want)
		}
	}
	if got := verbs(trace.From(1)); got != "remove 5 drain oil" {
		t.Errorf("from b on: %q", got)
	}
	if trace.Before(0) != trace.Start || trace.Before(1) != trace.After(0) || trace.Before(2) != trace.After(1) || trace.After(2) != trace.End() {
		t.Error("the states between the steps are not the same")
	}
	if words(trace.After(0), "4") != "out" || words(trace.After(1), "5") != "tight" || words(trace.End(), "oil") != "drained" {
		t.Error("the states are those of other steps")
	}
	if trace.Event(state.None) != nil {
		t.Error("none is an event")
	}
	job := statetest.Job(mixer, "a: inspect 4\nb: inspect 4; hold")
	if state.Hold(job.Steps[0]) != nil || state.Hold(job.Steps[1]) == nil {
		t.Error("the hold point is not that of b")
	}
}

func TestNothingToDo(t *testing.T) {
	trace := state.Run(&procedure.Job{Machine: statetest.Machine(mixer)})
	if len(trace.Events) != 0 || trace.End() != trace.Start || words(trace.End(), "4") != "tight" {
		t.Errorf("a job without steps: %+v", trace.Events)
	}
	if trace = state.Run(&procedure.Job{}); trace.End() != trace.Start {
		t.Error("a job without a machine has a state of its own at the end")
	}
}

// Another trace starts from how the things are, without what led there.
func TestThen(t *testing.T) {
	first := state.Run(statetest.Job(mixer, "s: mark 4; keep 4; loosen 4; mark gearbox; remove 1; remove hood; disconnect line; drain oil; fill oil; drain oil; establish isolated"))
	second := first.Then(statetest.Procedure(first.Job.Machine, "s: inspect 4").Jobs()[0])
	for id, want := range map[string]string{
		"4": "loose marked", "gearbox": "in place marked", "hood": "off", "line": "apart", "oil": "drained new", "isolated": "established",
	} {
		if got := words(second.Start, id); got != want {
			t.Errorf("%s starts as %q, want %q", id, got, want)
		}
		if last := lastOf(second.Start, id); last != state.None {
			t.Errorf("%s was changed by event %d of another trace", id, last)
		}
	}
	if second.Assembly != first.Assembly || words(first.Start, "4") != "tight" {
		t.Error("the first trace was changed")
	}
}

func TestThere(t *testing.T) {
	m := statetest.Machine(mixer)
	removal := statetest.Procedure(m, "a: remove 1; remove hood")
	back := statetest.Procedure(m, "b: fit hood; fit 1; tighten 1")
	if out, trace := state.RunAfterRemoval(removal.Jobs()[0]); out != nil || words(trace.End(), "hood") != "off" {
		t.Errorf("there: %v", out)
	}
	back.Removal = removal
	out, trace := state.RunAfterRemoval(back.Jobs()[0])
	if out == nil || words(out.End(), "hood") != "off" || words(trace.Start, "hood") != "off" || words(trace.End(), "hood") != "in place" {
		t.Error("the refitting does not start where the way there ended")
	}
}

func TestPlugs(t *testing.T) {
	const machine = `
base frame
part sump
part tank
part pump
part cover
plug 1 sump
plug 2 cover
plug 3 pump
plug 4 cover
plug 7 sump pump
bolt 5 cover frame
plug 6 frame
hose line sump tank carries=oil
hose feed sump frame carries=oil
hose out pump tank carries=water
fluid oil
fluid water
fluid grease
`
	tests := []struct{ fluid, first, then, want string }{
		{"oil", "s: inspect 1", "", "1 6"},
		{"water", "s: inspect 1", "", "3"},
		{"grease", "s: inspect 1", "", ""},
		{"oil", "s: remove 2, 5; drain oil", "", "1 6 2"},
		{"oil", "s: remove 2, 1; drain oil; remove 4", "", "1 6 2 4"},
		{"oil", "s: keep 2; drain oil", "", "1 6"},
		{"oil", "s: remove 2; drain water", "", "1 6"},
		{"oil", "s: remove 2; fill oil", "", "1 6"},
		{"oil", "s: remove 2\nt: drain oil", "", "1 6"},
		{"grease", "s: remove 2; drain grease", "s: inspect 1", "2"},
		{"grease", "s: remove 2; drain grease", "s: drain grease; remove 4, 2", "2 4"},
	}
	for _, test := range tests {
		m := statetest.Machine(machine)
		trace := state.Run(statetest.Procedure(m, test.first).Jobs()[0])
		if test.then != "" {
			trace = trace.Then(statetest.Procedure(m, test.then).Jobs()[0])
		}
		if got := ids(trace.Plugs(trace.Assembly.Fluid(test.fluid)), fastenerID); got != test.want {
			t.Errorf("%s; %s: the plugs of %s are %q, want %q", test.first, test.then, test.fluid, got, test.want)
		}
	}
}

func TestWhatSupportsBear(t *testing.T) {
	tests := []struct{ actions, carried, standing string }{
		{"mark 4", "", ""},
		{"support lamp, gearbox with pallet", "gearbox lamp", ""},
		{"support gearbox with pallet; release gearbox from hoist", "gearbox", ""},
		{"support gearbox with pallet; support gearbox with pallet; release gearbox from pallet", "", ""},
		{"support gearbox with hoist; remove 4, 5; lift gearbox with hoist; set down gearbox on pallet", "", "hub gearbox lamp"},
		{"remove 4, 5; lift gearbox with hoist; set down gearbox on pallet; lift gearbox with hoist", "", ""},
		{"remove 4, 5; lift gearbox with hoist; set down gearbox on pallet; fit gearbox", "", ""},
		{"remove 4, 5; lift gearbox with hoist; set down gearbox on sling", "", ""},
		{"support hood with pallet; remove hood", "", ""},
	}
	for _, test := range tests {
		end := state.Run(statetest.Job(mixer, "s: "+test.actions)).End()
		pallet := end.Assembly.Support("pallet")
		if carried, standing := ids(end.CarriedBy(pallet), partID), ids(end.StandingOn(pallet), partID); carried != test.carried || standing != test.standing {
			t.Errorf("%s: the pallet carries %q, and on it stand %q; want %q and %q", test.actions, carried, standing, test.carried, test.standing)
		}
	}
}

// What bears on what, as the rows say; names that lead nowhere or come twice are left out.
func TestAssembly(t *testing.T) {
	m := statetest.Machine(mixer + "bolt 4 hood frame\nbolt 20 nowhere frame frame locks=nowhere,4,21\nbolt 21 gearbox frame locks=4\npart rack 3 under=hood,nowhere,hood\nbolt 22 rack lamp")
	a := state.NewAssembly(m, nil)
	for id, want := range map[string]string{
		"gearbox": "fasteners 4 5 6 7 8 9 10 11 12 13 14 21, connections line belt, covers hood hub, beneath , 64 kg, seated false, rooted true",
		"hood":    "fasteners 1, connections , covers , beneath gearbox rack, 6 kg, seated false, rooted true",
		"frame":   "fasteners 1 4 5 20 21, connections line belt, covers , beneath , 0 kg, seated false, rooted true",
		"lamp":    "fasteners 8 12 13 14 22, connections , covers , beneath , 1 kg, seated false, rooted true",
		"rack":    "fasteners 22, connections , covers hood, beneath , 3 kg, seated false, rooted true",
	} {
		p := a.Part(id)
		got := fmt.Sprintf("fasteners %s, connections %s, covers %s, beneath %s, %v kg, seated %v, rooted %v", ids(p.Fasteners, fastenerID),
			ids(p.Connections, connectionID), ids(p.Covers, partID), ids(p.Beneath, partID), p.Kg, p.Seated, p.Rooted)
		if got != want {
			t.Errorf("%s: %s, want %s", id, got, want)
		}
	}
	for id, want := range map[string]string{"20": "frame locks 4 21 by ", "4": "gearbox frame locks  by 20 21", "21": "gearbox frame locks 4 by 20", "6": "hub gearbox locks 7 by "} {
		f := a.Fastener(id)
		if got := ids(f.Parts, partID) + " locks " + ids(f.Locked, fastenerID) + " by " + ids(f.Lockers, fastenerID); got != want {
			t.Errorf("%s joins %q, want %q", id, got, want)
		}
	}
	line, belt, slack, dead := a.Connection("line"), a.Connection("belt"), a.Condition("slack"), a.Condition("dead")
	if ids(line.Parts, partID) != "gearbox frame" || line.Fluid != a.Fluid("oil") || ids(line.Conditions, conditionID) != "" ||
		belt.Fluid != nil || ids(belt.Conditions, conditionID) != "slack" || ids(a.Fluid("oil").Connections, connectionID) != "line" {
		t.Error("connections lead elsewhere")
	}
	if ids(slack.Requires, conditionID) != "dead" || ids(dead.RequiredBy, conditionID) != "slack" || ids(dead.Requires, conditionID) != "isolated" {
		t.Error("conditions need others")
	}
	if a.Support("hoist").Kg != 250 || a.Support("hoist").Index != 0 || a.Support("pallet").Index != 2 {
		t.Error("supports are others")
	}
	for k, p := range a.Parts {
		if p.Index != k || a.Part(p.ID) != p {
			t.Errorf("%s is part %d, says %d", p.ID, k, p.Index)
		}
	}
	if a.Part("4") != nil || a.Fastener("hood") != nil || a.Connection("oil") != nil || a.Fluid("line") != nil || a.Support("slack") != nil || a.Condition("hoist") != nil {
		t.Error("a name leads to a thing of another kind")
	}
	if empty := state.NewAssembly(nil, nil); empty.Part("hood") != nil || len(empty.Parts) != 0 {
		t.Error("no machine has things")
	}
}

// Seated and rooted, worked by hand: plugs, studs and keys carry nothing, and a ring of parts hangs on nothing.
func TestRoots(t *testing.T) {
	a := state.NewAssembly(statetest.Machine(`
base frame
part a
part b
part c
part ring
part loose
part slid
bolt 1 a frame
nut 2 b a
screw 3 c b
bolt 4 ring loose
key 5 slid frame
stud 6 slid frame
plug 7 slid
washer 8 slid frame
`), nil)
	for id, want := range map[string][2]bool{
		"frame": {false, true}, "a": {false, true}, "b": {false, true}, "c": {false, true}, "ring": {false, false}, "loose": {false, false}, "slid": {true, false},
	} {
		if p := a.Part(id); p.Seated != want[0] || p.Rooted != want[1] {
			t.Errorf("%s: seated %v, rooted %v, want %v", id, p.Seated, p.Rooted, want)
		}
	}
}

func TestKindsOfFasteners(t *testing.T) {
	tests := []struct {
		row                          string
		carries, ties, atOnce, rigid bool
	}{
		{"bolt 1 a frame", true, true, false, false},
		{"screw 1 a frame", true, true, false, false},
		{"nut 1 a frame", true, true, false, false},
		{"stud 1 a frame", false, false, false, false},
		{"pin 1 a frame", true, true, true, true},
		{"circlip 1 a frame", true, true, true, true},
		{"key 1 a frame", false, false, true, true},
		{"washer 1 a frame", false, true, false, false},
		{"clamp 1 a frame", true, true, true, false},
		{"clamp 1 a frame torque=3", true, true, false, false},
		{"clamp 1 a frame thread=M6", true, true, false, false},
		{"plug 1 a frame", false, false, false, false},
		{"bolt 1 a", false, true, false, false},
		{"bolt 1", false, false, false, false},
	}
	for _, test := range tests {
		f := state.NewAssembly(statetest.Machine("base frame\npart a\n"+test.row), nil).Fastener("1")
		if f.Carries() != test.carries || f.Ties() != test.ties || f.TightAtOnce() != test.atOnce || f.Rigid() != test.rigid {
			t.Errorf("%s: carries %v, ties %v, tight at once %v, rigid %v", test.row, f.Carries(), f.Ties(), f.TightAtOnce(), f.Rigid())
		}
	}
	m := statetest.Machine("base frame\npart a\nclamp 1 a frame")
	m.Fasteners[0].Drive = "hex 8"
	if state.NewAssembly(m, nil).Fastener("1").TightAtOnce() {
		t.Error("a clamp that a tool turns is tight at once")
	}
}

func TestCovering(t *testing.T) {
	const lifted = "remove 4, 5; lift gearbox with hoist"
	for actions, want := range map[string]string{
		"mark 4":                           "hood hub",
		"remove hood":                      "hub",
		"remove hood, hub":                 "",
		lifted:                             "hub", // rides along; the hood stays on the machine
		lifted + "; remove 7, 11":          "hub",
		lifted + "; remove 7, 11, hub":     "",
		"remove 4, 5; remove hub, gearbox": "",
	} {
		end := state.Run(statetest.Job(mixer, "s: "+actions)).End()
		if got := ids(end.Covering(end.Assembly.Part("gearbox")), partID); got != want {
			t.Errorf("%s: the gearbox is covered by %q, want %q", actions, got, want)
		}
	}
	// On the bench: what rides on the same part covers; what carries it, or came off by itself, does not.
	const bench = "base frame\npart a\npart lid under=box\npart box\npart tray\npart far under=a\nbolt 1 a frame\nbolt 2 lid a\nbolt 3 box a\nbolt 4 tray frame\nbolt 5 far a\nhoist hoist 100"
	for actions, want := range map[string]map[string]string{
		"remove 1; lift a with hoist":                             {"lid": "box", "far": ""},
		"remove 1; lift a with hoist; remove 3; remove box":       {"lid": "", "far": ""},
		"remove 3; remove box; remove 1; remove a":                {"lid": "", "far": ""},
		"remove 2; remove lid; remove 3; remove box":              {"lid": "", "far": "a"},
		"remove 2, 3, 5; remove lid, box, far; remove 1;remove a": {"lid": "", "far": ""},
	} {
		end := state.Run(statetest.Job(bench, "s: "+actions)).End()
		for id, want := range want {
			if got := ids(end.Covering(end.Assembly.Part(id)), partID); got != want {
				t.Errorf("%s: %s is covered by %q, want %q", actions, id, got, want)
			}
		}
	}
}

// What is pressed into a part comes along with it until it is taken off by itself, and goes on where that part is.
func TestPressedParts(t *testing.T) {
	const rotor = "base frame\npart shaft 30\npart bearing 2 held-by=shaft\npart bush 1 held-by=frame\nbolt 1 shaft frame\nhoist hoist 100"
	for _, c := range []struct{ actions, group, bearing string }{
		{"mark 1", "shaft bearing", "in place"},
		{"remove 1; lift shaft with hoist", "shaft bearing", "lifted"},
		{"remove 1; remove shaft", "shaft bearing", "off"},
		{"remove 1; remove shaft; remove bearing", "shaft", "off"},
		{"remove bearing; remove 1; remove shaft", "shaft", "off"},
		{"remove 1; lift shaft with hoist; remove bearing; fit bearing", "shaft bearing", "lifted"},
		{"remove 1; remove shaft; remove bearing; fit bearing; fit shaft", "shaft bearing", "in place"},
		{"remove 1; remove shaft; fit shaft", "shaft bearing", "in place"},
	} {
		end := state.Run(statetest.Job(rotor, "s: "+c.actions)).End()
		g := end.Group(end.Assembly.Part("shaft"))
		if got := ids(g.Parts, partID); got != c.group {
			t.Errorf("%s: %q hangs together, want %q", c.actions, got, c.group)
		}
		if got := end.Part(end.Assembly.Part("bearing")).Is.String(); got != c.bearing {
			t.Errorf("%s: the bearing is %s, want %s", c.actions, got, c.bearing)
		}
	}
	a := state.NewAssembly(statetest.Machine(rotor), nil)
	if b := a.Part("bush"); !b.Rooted || b.Seated {
		t.Errorf("what is pressed into the frame hangs on it: %+v", b)
	}
	if g := state.Run(statetest.Job(rotor, "s: mark 1")).End().Group(a.Part("bearing")); g.Kg != 32 {
		t.Errorf("%v kg hang together, want the shaft and its bearing", g.Kg)
	}
}

func TestFirm(t *testing.T) {
	tests := []struct {
		actions, part, parts string
		kg                   float64
		anchored             bool
	}{
		{"mark 4", "gearbox", "gearbox hub lamp", 71, true},
		{"loosen 4", "gearbox", "gearbox hub lamp", 71, true},
		{"loosen 4, 5", "gearbox", "gearbox hub lamp", 71, false},
		{"loosen 7, 11", "gearbox", "gearbox lamp", 65, true},
		{"remove 7, 11", "hub", "hub", 6, false},
		{"loosen 4; remove 5", "lamp", "lamp gearbox hub", 71, false},
		{"remove 4, 5, 9; remove gearbox; fit gearbox; fit 4; tighten 4", "hub", "hub gearbox lamp", 71, true},
		{"remove lamp", "gearbox", "gearbox hub", 70, true},
	}
	for _, test := range tests {
		end := state.Run(statetest.Job(mixer, "s: "+test.actions)).End()
		g := end.Firm(end.Assembly.Part(test.part))
		if got := ids(g.Parts, partID); got != test.parts || g.Kg != test.kg || g.Anchored != test.anchored {
			t.Errorf("%s: firm with the %s are %q, %v kg, anchored %v; want %q, %v, %v", test.actions, test.part, got, g.Kg, g.Anchored, test.parts, test.kg, test.anchored)
		}
		for _, p := range g.Parts {
			if !g.Has(p) {
				t.Errorf("%s: the group has not %s", test.actions, p.ID)
			}
		}
		if g.Has(end.Assembly.Part("hood")) {
			t.Errorf("%s: the hood is in the group", test.actions)
		}
	}
}

// Groups on supports, and of parts that the registers leave hanging on nothing.
func TestWhatHoldsGroups(t *testing.T) {
	const parts = mixer + "part shelf 5\npart ring 2\npart rod 2\nbolt 30 ring rod\nkey 31 shelf frame"
	tests := []struct {
		actions, part  string
		carriers       string
		anchored, held bool
	}{
		{"mark 4", "gearbox", "", true, true},
		{"mark 4", "shelf", "", true, true}, // sits by itself
		{"mark 4", "ring", "", true, true},  // the registers do not say on what
		{"remove ring", "ring", "", false, false},
		{"remove shelf", "shelf", "", false, false},
		{"remove 4, 5; support hub with hoist; support lamp, gearbox with hoist, sling", "lamp", "hoist sling", false, true},
		{"support hub with hoist", "gearbox", "hoist", true, true},
		{"remove 4, 5", "hub", "", false, false},
		{"remove 4, 5; lift gearbox with hoist", "hub", "", false, false},
		{"mark 4", "frame", "", true, true},
	}
	for _, test := range tests {
		end := state.Run(statetest.Job(parts, "s: "+test.actions)).End()
		p := end.Assembly.Part(test.part)
		if got := ids(end.Carriers(p), supportID); got != test.carriers || end.Anchored(p) != test.anchored || end.Held(p) != test.held {
			t.Errorf("%s: the %s is on %q, anchored %v, held %v; want %q, %v, %v", test.actions, test.part, got, end.Anchored(p), end.Held(p), test.carriers, test.anchored, test.held)
		}
		if g := end.Group(p); ids(g.Carriers, supportID) != test.carriers || g.Anchored != test.anchored {
			t.Errorf("%s: the group of the %s says something else: %+v", test.actions, test.part, g)
		}
	}
}

// A group larger than usual is whole.
func TestLongGroup(t *testing.T) {
	machine := "base frame\npart p0 1\n"
	for k := 1; k < 20; k++ {
		machine += fmt.Sprintf("part p%d 1\nbolt %d p%d p%d\n", k, k, k-1, k)
	}
	s := state.Run(statetest.Job(machine+"bolt 99 p19 frame\nhoist hoist 100", "s: support p10 with hoist\nt: remove 99")).End()
	if g := s.Group(s.Assembly.Part("p0")); len(g.Parts) != 20 || g.Kg != 20 || g.Anchored || !s.Held(s.Assembly.Part("p19")) || s.Anchored(s.Assembly.Part("p3")) {
		t.Errorf("%+v", g)
	}
}

// Both sides of what ties, and the fewest fasteners that carry.
func TestTiesLeadSomewhere(t *testing.T) {
	end := state.Run(statetest.Job(mixer, "s: remove 4")).End()
	got := ids(end.Ties([]*state.Part{end.Assembly.Part("hub"), end.Assembly.Part("gearbox")}), func(t state.Tie) string {
		to := "machine"
		if t.To != nil {
			to = t.To.ID
		}
		if t.Fastener != nil {
			return t.Fastener.ID + ">" + to
		}
		return t.Connection.ID + ">" + to
	})
	if want := "5>frame 8>lamp 9>machine 12>lamp 13>lamp 14>lamp line>frame belt>frame"; got != want {
		t.Errorf("ties %q, want %q", got, want)
	}
	// On the bench only what is there too ties: the line and bolt 9 belong to the machine.
	end = state.Run(statetest.Job(mixer, "s: remove 4, 5; lift gearbox with hoist")).End()
	if got := ids(end.Ties([]*state.Part{end.Assembly.Part("hub")}), func(t state.Tie) string { return t.Fastener.ID + ">" + t.To.ID }); got != "6>gearbox 7>gearbox 11>gearbox" {
		t.Errorf("on the bench the hub is tied by %q", got)
	}
	if got := end.Ties([]*state.Part{end.Assembly.Part("gearbox"), end.Assembly.Part("hub"), end.Assembly.Part("lamp")}); len(got) != 0 {
		t.Errorf("on the bench the gearbox is tied by %v", got)
	}
}

func TestFewestFastenersCarry(t *testing.T) {
	const net = "base frame\npart a\npart b\npart c\npart d\nbolt 1 a b\nbolt 2 b c\nbolt 3 c frame\nstud 4 a frame\nbolt 5 a d\nbolt 6 d frame"
	for actions, want := range map[string]string{
		"mark 1":                                "6 5",
		"remove 6":                              "3 2 1",
		"loosen 6":                              "6 5",
		"remove d":                              "3 2 1",
		"remove 3, 6":                           "",
		"remove 3; remove c; remove d, 6, 5, 2": "",
	} {
		end := state.Run(statetest.Job(net, "s: "+actions)).End()
		if got := ids(end.Path(end.Assembly.Part("a")), fastenerID); got != want {
			t.Errorf("%s: a hangs on %q, want %q", actions, got, want)
		}
	}
}

// What is listed says how it was, how it is, and since when.
func TestWordsOfDifferences(t *testing.T) {
	write := func(was, is *state.State) string {
		return strings.Join(slices.Collect(func(yield func(string) bool) {
			for _, d := range state.Differences(was, is) {
				yield(fmt.Sprintf("%s %s->%s %d", d.Row.ID, d.Was, d.Is, d.Last))
			}
		}), ", ")
	}
	tests := []struct{ actions, want string }{
		{"mark 4; loosen 4", "4 tight->loose 1"},
		{"mark 4; disconnect line; drain oil", "line connected->apart 1, oil full->drained 2"},
		{"drain oil; flush oil", "oil full->flushed 1"},
		{"support gearbox with hoist", "gearbox without a support->on a support -1"},
		{"support gearbox with hoist; remove 4, 5; lift gearbox with hoist", "hub in place->lifted 3, gearbox in place->lifted 3, lamp in place->lifted 3, 4 tight->out 1, 5 tight->out 2"},
		{"remove 1, 4, 5; lift gearbox with hoist; set down gearbox on pallet; remove hood", "hood in place->off 5, hub in place->set down 4, gearbox in place->set down 4, lamp in place->set down 4, 1 tight->out 0, 4 tight->out 1, 5 tight->out 2"},
		{"establish isolated; establish dead", "dead not established->established 1"},
		{"mark 4, gearbox, line; keep 5; drain oil; fill oil", ""},
	}
	for _, test := range tests {
		trace := state.Run(statetest.Job(mixer, "s: "+test.actions))
		if got := write(trace.Start, trace.End()); got != test.want {
			t.Errorf("%s: %s, want %s", test.actions, got, test.want)
		}
	}
	trace := state.Run(statetest.Job(mixer, "a: support gearbox with hoist; disconnect line; establish dead\nb: release gearbox from hoist; connect line; undo dead"))
	if got := write(trace.After(0), trace.End()); got != "gearbox on a support->without a support -1, line apart->connected 4, dead established->not established 5" {
		t.Errorf("back again: %s", got)
	}
	if d := state.Differences(trace.Start, trace.End()); len(d) != 0 {
		t.Errorf("there and back: %v", d)
	}
}

// No verb changes a thing of a kind that it does not apply to.
func TestVerbsKeepToTheirThings(t *testing.T) {
	for _, rule := range procedure.VerbRules {
		for _, id := range []string{"4", "gearbox", "line", "oil", "isolated"} {
			m := statetest.Machine(mixer)
			if slices.Contains(rule.Objects, m.Thing(id).Kind) {
				continue
			}
			job := statetest.Procedure(m, "s: inspect hood").Jobs()[0]
			job.Steps[0].Blocks = []procedure.Block{&procedure.ActionList{Actions: []*procedure.Action{{Verb: rule.Verb, Object: procedure.Ref{ID: id}}}}}
			trace := state.Run(job)
			if was, is := words(trace.Start, id), words(trace.End(), id); was != is {
				t.Errorf("%s %s: from %s to %s", rule.Verb, id, was, is)
			}
		}
	}
}
