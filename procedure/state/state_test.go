package state_test

import (
	"fmt"
	"strings"
	"testing"

	"matchmark/procedure/state"
	"matchmark/procedure/state/statetest"
)

const mixer = `
base frame
part hood 6
part hub 6
part gearbox 64 under=hood,hub
part lamp 1
bolt 1 hood frame
bolt 4 gearbox frame
bolt 5 gearbox frame
washer 6 hub gearbox locks=7
nut 7 hub gearbox
screw 8 lamp gearbox
bolt 9 gearbox
plug 10 gearbox
pin 11 hub gearbox
clamp 12 lamp gearbox
clamp 13 lamp gearbox torque=3
clamp 14 lamp gearbox thread=M6
hose line gearbox frame carries=oil
belt belt gearbox frame needs=slack
fluid oil single-use
hoist hoist 250
sling sling 400
stand pallet 500
condition slack needs=dead lost-by=belt undo
energy dead needs=isolated undo
energy isolated
`

// words writes everything about one thing's state in a few words.
func words(s *state.State, id string) string {
	a := s.Assembly
	if f := a.Fastener(id); f != nil {
		x := s.Fastener(f)
		return fmt.Sprint(x.Is, when(x.New, " new"), when(x.Marked, " marked"), when(x.Kept != state.None, " kept"))
	}
	if p := a.Part(id); p != nil {
		x := s.Part(p)
		out := x.Is.String() + when(x.Marked, " marked")
		for _, c := range x.Carriers {
			out += " +" + c.ID
		}
		for _, c := range x.On {
			out += " on " + c.ID
		}
		if x.Rides != nil {
			out += map[bool]string{true: " rides ", false: " from "}[x.Aboard] + x.Rides.ID
		}
		return out
	}
	if c := a.Connection(id); c != nil {
		return map[bool]string{false: "joined", true: "apart"}[s.Connection(c).Apart]
	}
	if f := a.Fluid(id); f != nil {
		x := s.Fluid(f)
		return fmt.Sprint(x.Is, when(x.New, " new"))
	}
	return [...]string{"open", "established", "verified", "lost"}[s.Condition(a.Condition(id)).Is]
}

func when(b bool, s string) string {
	if b {
		return s
	}
	return ""
}

func TestVerbs(t *testing.T) {
	tests := []struct{ actions, want string }{
		{"loosen 4", "4: loose"},
		{"remove 4", "4: out"},
		{"remove 4; loosen 4", "4: out"},
		{"remove 4; fit 4", "4: loose"},
		{"remove 4; fit 4; tighten 4", "4: tight"},
		{"remove 4; tighten 4", "4: out"},
		{"remove 11; fit 11", "11: tight"},
		{"remove 12, 13, 14; fit 12, 13, 14", "12: tight; 13: loose; 14: loose"},
		{"loosen 12", "12: loose"},
		{"keep 4; mark 4", "4: tight marked kept"},
		{"remove hood", "hood: off"},
		{"remove 1; remove hood; fit hood", "hood: in place"},
		{"support gearbox with hoist, sling", "gearbox: in place +hoist +sling"},
		{"support gearbox with hoist, sling; release gearbox from hoist", "gearbox: in place +sling"},
		{"support gearbox with hoist; remove 4, 5; lift gearbox with hoist", "gearbox: lifted +hoist; lamp: lifted rides gearbox; hub: lifted rides gearbox"},
		{"support gearbox with hoist; lift gearbox with hoist", "gearbox: lifted +hoist; lamp: in place"},
		{"support gearbox with hoist; remove 4, 5; lift gearbox with hoist; set down gearbox on pallet", "gearbox: set down +hoist on pallet; lamp: set down on pallet rides gearbox"},
		{"remove 8, 12, 13, 14, 4, 5; lift gearbox with hoist; remove lamp; fit lamp", "lamp: in place"},
		{"remove 4, 5; lift gearbox with hoist; remove 8, 12, 13, 14; remove lamp", "lamp: off from gearbox"},
		{"remove 4, 5; lift gearbox with hoist; remove 8, 12, 13, 14; remove lamp; fit lamp", "lamp: lifted rides gearbox"},
		{"remove 4, 5; lift gearbox with hoist; remove 8, 12, 13, 14; remove lamp; fit lamp; fit 8; fit gearbox", "lamp: in place; gearbox: in place"},
		{"remove 4, 5; lift gearbox with hoist; remove 8, 12, 13, 14; remove lamp; fit gearbox; fit lamp", "lamp: in place"},
		{"remove 4, 5; remove gearbox; remove 8, 12, 13, 14; remove lamp", "gearbox: off; lamp: off from gearbox; hub: off rides gearbox"},
		{"remove 4, 5; remove gearbox; remove 8, 12, 13, 14; remove lamp; fit lamp; fit 8; fit gearbox", "lamp: in place; gearbox: in place"},
		{"support hood with hoist; remove 1; remove hood", "hood: off"},
		{"disconnect line", "line: apart"},
		{"disconnect line; connect line", "line: joined"},
		{"drain oil", "oil: drained"},
		{"flush oil", "oil: full"},
		{"drain oil; flush oil", "oil: flushed"},
		{"drain oil; fill oil", "oil: full new"},
		{"fill oil", "oil: full"},
		{"establish isolated", "isolated: established"},
		{"establish isolated; verify isolated", "isolated: verified"},
		{"verify dead", "dead: open"},
		{"verify isolated; establish isolated", "isolated: established"},
		{"establish isolated, dead; verify dead; undo isolated", "isolated: open; dead: lost"},
		{"establish isolated, dead; verify dead; establish slack; connect belt", "slack: lost; dead: verified"},
		{"establish isolated, dead, slack; undo isolated", "slack: lost"},
		{"remove nothing; lift 4 with hoist", "4: tight"}, // the reference check speaks of these
	}
	for _, test := range tests {
		end := state.Run(statetest.Job(mixer, "s: "+test.actions)).End()
		for _, want := range strings.Split(test.want, "; ") {
			id, is, _ := strings.Cut(want, ": ")
			if got := words(end, id); got != is {
				t.Errorf("%s: %s is %q, want %q", test.actions, id, got, is)
			}
		}
	}
}

func TestStatesAreNotShared(t *testing.T) {
	trace := state.Run(statetest.Job(mixer, "a: loosen 4; support gearbox with hoist\nb: remove 4; support gearbox with sling\nc: release gearbox from hoist"))
	var got []string
	for i := range 3 {
		got = append(got, words(trace.After(i), "4")+", "+words(trace.After(i), "gearbox"))
	}
	want := "loose, in place +hoist | out, in place +hoist +sling | out, in place +sling"
	if s := strings.Join(got, " | "); s != want {
		t.Errorf("states are %s, want %s", s, want)
	}
	if s := words(trace.Start, "4"); s != "tight" {
		t.Errorf("at the start 4 is %s", s)
	}
	if e := trace.Event(trace.End().Fastener(trace.Assembly.Fastener("4")).Last); e.Step.ID != "b" {
		t.Errorf("4 was last changed in step %s, want b", e.Step.ID)
	}
}

func TestGroups(t *testing.T) {
	tests := []struct {
		actions, part  string
		parts          string
		kg             float64
		anchored, held bool
	}{
		{"mark 4", "gearbox", "gearbox hub lamp", 71, true, true},
		{"remove 4", "gearbox", "gearbox hub lamp", 71, true, true},
		{"remove 4, 5", "gearbox", "gearbox hub lamp", 71, false, false},
		{"remove 4, 5; support hub with hoist", "gearbox", "gearbox hub lamp", 71, false, true},
		{"loosen 4, 5", "gearbox", "gearbox hub lamp", 71, true, true},
		{"remove 4, 5, 7, 11", "gearbox", "gearbox lamp", 65, false, false}, // a tab washer carries nothing
		{"remove 7, 11", "hub", "hub", 6, false, false},
		{"mark 4", "frame", "frame", 0, true, true},
	}
	for _, test := range tests {
		end := state.Run(statetest.Job(mixer, "s: "+test.actions)).End()
		g := end.Group(end.Assembly.Part(test.part))
		var names []string
		for _, p := range g.Parts {
			names = append(names, p.ID)
		}
		if got := strings.Join(names, " "); got != test.parts || g.Kg != test.kg || g.Anchored != test.anchored || g.Held() != test.held {
			t.Errorf("%s: %s hangs with %q, %v kg, anchored %v, held %v; want %q, %v, %v, %v", test.actions, test.part,
				got, g.Kg, g.Anchored, g.Held(), test.parts, test.kg, test.anchored, test.held)
		}
	}
}

func TestTies(t *testing.T) {
	tests := []struct{ actions, parts, want string }{
		{"mark 4", "gearbox lamp hub", "4 5 9 line belt"},
		{"remove 4, 5, 9", "gearbox lamp hub", "line belt"},
		{"remove 4, 5, 9; disconnect line, belt", "gearbox lamp hub", ""},
		{"remove 4, 5, 9; disconnect line, belt", "gearbox lamp", "6 7 11"},
		{"remove 7, 11", "hub", "6"},
		{"remove 7, 11, 6", "hub", ""},
	}
	for _, test := range tests {
		end := state.Run(statetest.Job(mixer, "s: "+test.actions)).End()
		var parts []*state.Part
		for _, id := range strings.Fields(test.parts) {
			parts = append(parts, end.Assembly.Part(id))
		}
		var got []string
		for _, tie := range end.Ties(parts) {
			if tie.Fastener != nil {
				got = append(got, tie.Fastener.ID)
			} else {
				got = append(got, tie.Connection.ID)
			}
		}
		if s := strings.Join(got, " "); s != test.want {
			t.Errorf("%s: %s is tied by %q, want %q", test.actions, test.parts, s, test.want)
		}
	}
}

func TestProof(t *testing.T) {
	tests := []struct {
		actions string
		proved  bool
	}{
		{"establish isolated", false},
		{"establish isolated; verify isolated", true},
		{"establish isolated, dead; verify dead", false}, // each by itself
		{"establish isolated; verify isolated; undo isolated", false},
	}
	for _, test := range tests {
		end := state.Run(statetest.Job(mixer, "s: "+test.actions)).End()
		if got := end.Proved(end.Assembly.Condition("isolated")); got != test.proved {
			t.Errorf("%s: isolated is proved: %v, want %v", test.actions, got, test.proved)
		}
	}
}

func TestPath(t *testing.T) {
	trace := state.Run(statetest.Job(mixer, "a: mark 4\nb: remove 4, 5"))
	hub := trace.Assembly.Part("hub")
	var got []string
	for _, f := range trace.After(0).Path(hub) {
		got = append(got, f.ID)
	}
	if s := strings.Join(got, " "); s != "4 7" {
		t.Errorf("the hub hangs on %q, want 4 7", s)
	}
	if path := trace.After(1).Path(hub); path != nil {
		t.Errorf("with 4 and 5 out the hub still hangs on %v", path)
	}
}

func TestDifferences(t *testing.T) {
	trace := state.Run(statetest.Job(mixer, "a: establish isolated, dead; mark gearbox; remove 1, 6; remove hood; disconnect line; drain oil\nb: fill oil; connect line; fit 6"))
	var got []string
	for _, d := range state.Differences(trace.Start, trace.End()) {
		got = append(got, fmt.Sprintf("%s %s->%s", d.Row.ID, d.Was, d.Is))
	}
	// The tab washer was fitted but its tab was not bent; isolated has no undo and passes by itself.
	want := "hood in place->off, 1 tight->out, 6 tight->loose, dead not established->established"
	if s := strings.Join(got, ", "); s != want {
		t.Errorf("differences are %s, want %s", s, want)
	}
}

func TestVariants(t *testing.T) {
	m := statetest.Machine("base frame\npart a 1\nvariant belt\nvariant chain\nbolt 1 a frame variants=belt\nbolt 2 a frame")
	jobs := statetest.Procedure(m, "s: remove 1, 2\nt variants=chain: remove a").Jobs()
	if got := words(state.Run(jobs[0]).End(), "1"); got != "out" {
		t.Errorf("on the belt variant 1 is %s", got)
	}
	chain := state.Run(jobs[1])
	if chain.Assembly.Fastener("1") != nil {
		t.Error("the chain variant has fastener 1")
	}
	if got := words(chain.End(), "a"); got != "off" {
		t.Errorf("on the chain variant a is %s", got)
	}
}
