package order

import (
	"fmt"
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/measure"
	"matchmark/procedure/refit"
	"matchmark/procedure/state"
	"matchmark/procedure/state/statetest"
)

// found runs the order check and writes what it finds above advice, a line each.
func found(p *procedure.Procedure, add refit.Additions) string {
	log := &diagnostic.Log{}
	Run(p, add, log)
	var lines []string
	for _, d := range log.Sorted() {
		if d.Severity > diagnostic.Advice {
			lines = append(lines, string(d.Code)+": "+d.Says().String())
		}
	}
	return strings.Join(lines, "\n")
}

const twoDrives = `
variant belt
variant chain
base frame
part hood 3
bolt 1 hood frame torque=9
bolt 2 hood frame torque=9 variants=chain
`

func TestVariantsAreNamed(t *testing.T) {
	tests := []struct{ steps, want string }{
		{"a: remove 1, 2; remove hood; remove 1", "removed-twice: fastener 1 is already out since step 1"},
		{"a: remove 1; remove hood", "still-joined: the hood leaves in step 1 while fastener 2 is still in (only on: chain)"},
		// The same fault in steps with different numbers is one message, with the numbers of the first variant.
		{"a variants=chain: remove 2\nb: remove 1; remove hood; remove 1", "removed-twice: fastener 1 is already out since step 1"},
	}
	for _, test := range tests {
		if got := found(statetest.Procedure(statetest.Machine(twoDrives), test.steps), refit.Additions{}); got != test.want {
			t.Errorf("%s:\nfound %s\nwant %s", test.steps, got, test.want)
		}
	}
}

func TestWayBack(t *testing.T) {
	const machine = "base frame\npart hood 3\npart box 40\nbolt 1 hood frame torque=9\nbolt 2 box frame torque=9\nhoist hoist 100\nstand pallet 100"
	tests := []struct{ name, steps, own, out, want string }{
		{name: "derived", steps: "a: remove 1; remove hood"},
		{name: "forgotten bolt", steps: "a: remove 1; remove hood", own: "a-back: fit hood",
			want: "not-returned: in the refitting: 1 was tight at the start and is out at the end\nleft-out: in the refitting: the hood goes back in step 1, but fastener 1, which joins it, stays out"},
		{name: "never tightened", steps: "a: remove 1; remove hood", own: "a-back: fit hood; fit 1",
			want: "left-loose: in the refitting: fastener 1 is fitted in step 1 but never tightened\nnot-returned: in the refitting: 1 was tight at the start and is loose at the end"},
		{name: "bolt before its part", steps: "a: remove 1; remove hood", own: "a-back: fit 1; fit hood; tighten 1",
			want: "nothing-to-join: in the refitting: fastener 1 joins the hood, but the hood is not in place in step 1"},
		{name: "hoist let go too early", steps: "a: support box with hoist; remove 2; hold\nb: lift box with hoist; set down box on pallet; release box from hoist",
			own:  "a-back: release box from hoist; fit 2; tighten 2",
			want: "hangs-on-nothing: in the refitting: the box (40 kg) hangs on nothing after step 3: fastener 2 is out, the hoist is taken away here, and no support is put on"},
		{name: "declared out", steps: "a: remove 1; remove hood", out: "hood"},
		{name: "not declared out", steps: "a: remove 1; remove hood", own: "a-back: fit hood", out: "1",
			want: "left-out: in the refitting: the hood goes back in step 1, but fastener 1, which joins it, stays out"},
		{name: "more than what is derived", steps: "a: remove 1; remove hood", own: "a-back: inspect hood"},
	}
	for _, test := range tests {
		m := statetest.Machine(machine)
		add := refit.Additions{Out: statetest.Refs(test.out), Steps: statetest.Procedure(m, test.own).Steps}
		if got := found(statetest.Procedure(m, test.steps), add); got != test.want {
			t.Errorf("%s:\nfound %s\nwant %s", test.name, got, test.want)
		}
	}
}

// A mass that is not stated is told wherever a sum with it decides: of what comes along on a lift, of what a jack
// carries once the last bolt to the frame is out, and of what people hold together. Alone, a light part says nothing.
func TestUnknownMasses(t *testing.T) {
	const machine = "base frame\npart box 40\npart cap\npart lid 3\nbolt 1 box frame torque=9\nbolt 2 cap box torque=9\nbolt 3 lid cap torque=9\nhoist hoist 100\nstand pallet 100"
	const hung = "mass-unknown: the cap is hung on a support, but its mass is not stated"
	for _, test := range []struct{ steps, want string }{
		{"a: support box with hoist; remove 1; hold\nb: lift box with hoist; set down box on pallet; release box from hoist", hung},
		{"a: remove 3; remove lid\nb: remove 2; remove cap", ""},
		{"a: remove 2; remove cap", "mass-unknown: the cap and the lid hang on nothing after step 1, and the mass of the cap is not stated: whether people can hold them is not known"},
	} {
		if got := found(statetest.Procedure(statetest.Machine(machine), test.steps), refit.Additions{}); got != test.want {
			t.Errorf("%s:\nfound %s\nwant %s", test.steps, got, test.want)
		}
	}
}

func TestAtTheSameTime(t *testing.T) {
	const both = "steps a and b could be done at the same time, or in the other order; side by side they save 2 min"
	for _, c := range []struct{ name, steps, pieces, want string }{
		{"one person each", "a: inspect 1\nb: inspect 2", "", both},
		{"all two people", "a people=2: inspect 1\nb: inspect 2", "", ""},
		{"two of three people", "a people=2: inspect 1\nb: inspect 2\nc people=3 after=a,b: inspect 1", "", both},
		{"one tool of several", "a tools=socket: inspect 1\nb tools=socket: inspect 2", "2 pcs", both},
		{"the only tool", "a tools=socket: inspect 1\nb tools=socket: inspect 2", "1 pcs", ""},
		{"a tool without a quantity", "a tools=socket: inspect 1\nb tools=socket: inspect 2", "", ""},
		{"the only tool in one step", "a tools=socket: inspect 1\nb: inspect 2", "1 pcs", both},
		{"one hoist", "a: support hood with hoist\nb: support lid with hoist", "", ""},
		{"two supports", "a: support hood with hoist\nb: support lid with jack", "", both},
	} {
		m := statetest.Machine("base frame\npart hood 3\npart lid 3\nbolt 1 hood frame torque=9\nbolt 2 lid frame torque=9\nhoist hoist 50\njack jack 50\ntool socket")
		if c.pieces != "" {
			m.Tools[0].Quantity = measure.Must(c.pieces)
		}
		job := statetest.Procedure(m, c.steps).Jobs()[0]
		var got []string
		for _, d := range onJob(analysis.NewJob(job), []Check{swappable}) {
			if d.Span == job.Steps[1].Span {
				got = append(got, d.Says().String())
			}
		}
		if s := strings.Join(got, "\n"); s != c.want {
			t.Errorf("%s: found %q, want %q", c.name, s, c.want)
		}
	}
}

// A clip is in place once it is fitted; an author may press it home all the same.
func TestClips(t *testing.T) {
	for _, c := range []struct{ steps, want string }{
		{"a: remove 1\nb: fit 1", ""},
		{"a: remove 1\nb: fit 1; tighten 1", ""},
		{"a: remove 2\nb: fit 2", "left-loose: fastener 2 is fitted in step 2 but never tightened"},
		{"a: remove 3\nb: fit 3; tighten 3", "fitted-twice: fastener 3 is already tight since step 2"},
		{"a: loosen 4; loosen 5; tighten 5; tighten 4", ""},
		{"a: loosen 5", "lock-first: fastener 5 turns in step 1 while the clamp 4 still locks it; nothing undoes that"},
		{"a: remove 4; loosen 5; fit 4; tighten 5", "lock-early: the clamp 4 locks fastener 5 in step 1, but that is loose; it is tightened only further down in the step"},
	} {
		m := statetest.Machine("base frame\npart hood 3\nclamp 1 hood frame\nclamp 2 hood frame torque=3\npin 3 hood frame\nclamp 4 locks=5\nscrew 5 hood frame torque=9")
		if got := found(statetest.Procedure(m, c.steps), refit.Additions{}); got != c.want {
			t.Errorf("%s:\nfound %s\nwant %s", c.steps, got, c.want)
		}
	}
}

// What a job gets wrong is not reported again on its refitting.
func TestNoWayBackFromErrors(t *testing.T) {
	m := statetest.Machine("base frame\npart hood 3\nbolt 1 hood frame torque=9")
	got := found(statetest.Procedure(m, "a: remove hood"), refit.Additions{})
	if got != "still-joined: the hood leaves in step 1 while fastener 1 is still in" {
		t.Error(got)
	}
	if got := found(&procedure.Procedure{ID: "x"}, refit.Additions{}); got != "" {
		t.Error("a procedure without a machine is judged: " + got)
	}
}

// large builds a procedure of 200 steps on a machine with 400 fasteners and 4 variants.
func large() *procedure.Procedure {
	var m, p strings.Builder
	m.WriteString("base frame\nfluid oil\nhoist hoist 250\nsling sling 250\nstand pallet 5000\nenergy isolated undo\nenergy dead needs=isolated undo\ncondition slack needs=dead undo\n")
	for i := range 4 {
		fmt.Fprintf(&m, "variant v%d\n", i)
	}
	p.WriteString("isolate: establish isolated; verify isolated\nprove: establish dead; verify dead\nslack: establish slack\ndrain: drain oil into pan\n")
	for i := range 49 {
		fmt.Fprintf(&m, "part p%d 40\n", i)
		var bolts []string
		for j := range 8 {
			fmt.Fprintf(&m, "bolt %d p%d frame torque=45 variants=v0,v1,v2,v3\n", 1+8*i+j, i)
			bolts = append(bolts, fmt.Sprint(1+8*i+j))
		}
		fmt.Fprintf(&m, "hose h%d p%d frame carries=oil needs=slack\n", i, i)
		fmt.Fprintf(&p, "s%da needs=dead: loosen %s; remove %s; disconnect h%d\n", i, strings.Join(bolts[:4], ", "), strings.Join(bolts[:4], ", "), i)
		fmt.Fprintf(&p, "s%db needs=dead after=s%da: support p%d with hoist, sling\n", i, i, i)
		fmt.Fprintf(&p, "s%dc after=s%db: remove %s; hold\n", i, i, strings.Join(bolts[4:], ", "))
		fmt.Fprintf(&p, "s%dd: lift p%d with hoist, sling; set down p%d on pallet; release p%d from hoist, sling\n", i, i, i, i)
	}
	return statetest.Procedure(statetest.Machine(m.String()), p.String())
}

func TestLargeProcedureIsClean(t *testing.T) {
	p := large()
	if len(p.Steps) != 200 {
		t.Fatalf("%d steps", len(p.Steps))
	}
	if got := found(p, refit.Additions{}); got != "" {
		t.Error(got)
	}
}

// BenchmarkCheck checks 200 steps on 4 variants, there and back.
func BenchmarkCheck(b *testing.B) {
	p := large()
	b.ReportAllocs()
	for b.Loop() {
		Run(p, refit.Additions{}, &diagnostic.Log{})
	}
}

// BenchmarkState carries the machine through 200 steps once.
func BenchmarkState(b *testing.B) {
	job := large().Jobs()[0]
	b.ReportAllocs()
	for b.Loop() {
		state.Run(job)
	}
}
