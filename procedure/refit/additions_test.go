package refit

import (
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/prose"
	"matchmark/procedure/state"
	"matchmark/procedure/state/statetest"
)

// own builds an author's steps for the refitting.
func own(m *procedure.Machine, lines string) []*procedure.Step {
	return statetest.Procedure(m, lines).Steps
}

func TestAdditions(t *testing.T) {
	const steps = "a: remove 1; remove hood\nb: loosen 7; remove 8"
	tests := []struct{ name, own, want string }{
		{"none", "", "b-back: fit 8; tighten 7; tighten 8\na-back: fit hood; fit 1; tighten 1 |"},
		{"in place of a derived step", "b-back: fit 8; tighten 7; tighten 8; inspect 8", "b-back: fit 8; tighten 7; tighten 8; inspect 8\na-back: fit hood; fit 1; tighten 1 |"},
		{"behind a step", "try after=b-back: inspect 7", "b-back: fit 8; tighten 7; tighten 8\ntry: inspect 7\na-back: fit hood; fit 1; tighten 1 |"},
		{"two behind one step", "try after=b-back: inspect 7\ntwo after=b-back: inspect 8", "b-back: fit 8; tighten 7; tighten 8\ntry: inspect 7\ntwo: inspect 8\na-back: fit hood; fit 1; tighten 1 |"},
		{"behind the last of several", "try after=a-back,b-back: inspect 7", "b-back: fit 8; tighten 7; tighten 8\na-back: fit hood; fit 1; tighten 1\ntry: inspect 7 |"},
		{"at the end", "try: inspect 7", "b-back: fit 8; tighten 7; tighten 8\na-back: fit hood; fit 1; tighten 1\ntry: inspect 7 |"},
		{"with a hold point of its own", "try: inspect 7; hold", "b-back: fit 8; tighten 7; tighten 8\na-back: fit hood; fit 1; tighten 1\ntry: inspect 7 |"},
		{"behind one that stands further down in the file", "two after=try: inspect 8\ntry after=b-back: inspect 7", "b-back: fit 8; tighten 7; tighten 8\ntry: inspect 7\ntwo: inspect 8\na-back: fit hood; fit 1; tighten 1 |"},
		{"behind each other", "two after=try: inspect 8\ntry after=two: inspect 7", "b-back: fit 8; tighten 7; tighten 8\na-back: fit hood; fit 1; tighten 1\ntwo: inspect 8\ntry: inspect 7 |"},
	}
	for _, test := range tests {
		out := state.Run(statetest.Job(mixer, steps))
		job := jobBack(t, out, Additions{Steps: own(out.Job.Machine, test.own)})
		if got := written(job); got != test.want {
			t.Errorf("%s: the refitting is\n%s\nwant\n%s", test.name, got, test.want)
		}
	}
}

func TestOwnEnd(t *testing.T) {
	const steps = "a: establish stopped; establish isolated; verify isolated\nb: loosen 7"
	const begin = "refit-start: verify isolated\nb-back: tighten 7"
	tests := []struct{ name, own, want string }{
		{"in place of the derived one", "refit-end: undo isolated; inspect 7; undo stopped\ntry: inspect 8",
			begin + "\ntry: inspect 8 |\nrefit-end: undo isolated; inspect 7; undo stopped"},
		{"steps behind the derived one", "two after=log: inspect 8\nlog after=refit-end: inspect 7\ntry: inspect 1",
			begin + "\ntry: inspect 1 |\nrefit-end: undo isolated; undo stopped\nlog: inspect 7\ntwo: inspect 8"},
		{"steps behind one's own", "log after=refit-end: inspect 7\nrefit-end: undo isolated; undo stopped; inspect 8",
			begin + " |\nrefit-end: undo isolated; undo stopped; inspect 8\nlog: inspect 7"},
	}
	for _, test := range tests {
		out := state.Run(statetest.Job(mixer, steps))
		if got := written(jobBack(t, out, Additions{Steps: own(out.Job.Machine, test.own)})); got != test.want {
			t.Errorf("%s: the refitting is\n%s\nwant\n%s", test.name, got, test.want)
		}
	}
	// Nothing else is to be turned round.
	only := state.Run(statetest.Job(mixer, "a: establish isolated"))
	if got := written(jobBack(t, only, Additions{Steps: own(only.Job.Machine, "try: inspect 8")})); got != "try: inspect 8 |\nrefit-end: undo isolated" {
		t.Errorf("the refitting is\n%s", got)
	}
	// Nothing was kept away, so the end is the author's alone.
	out := state.Run(statetest.Job(mixer, "b: loosen 7"))
	job := jobBack(t, out, Additions{Steps: own(out.Job.Machine, "log after=refit-end: inspect 7\nrefit-end: inspect 8")})
	if got := written(job); got != "b-back: tighten 7 |\nrefit-end: inspect 8\nlog: inspect 7" {
		t.Errorf("the refitting is\n%s", got)
	}
}

func TestDeclaredOut(t *testing.T) {
	out := state.Run(statetest.Job(mixer, "a: loosen 3; remove 4, 3; remove hub\nb: disconnect belt\nc: remove 7"))
	add := Additions{Out: statetest.Refs("hub, belt")}
	job := jobBack(t, out, add)
	// The fasteners of the hub stay out with it.
	if got := written(job); got != "c-back: fit 7; tighten 7 |" {
		t.Errorf("the refitting is\n%s", got)
	}
	if missing := Missing(out, out.Then(job), add); len(missing) > 0 {
		t.Errorf("missing: %v", missing)
	}
	if missing := Missing(out, out.Then(job), Additions{}); len(missing) != 4 {
		t.Errorf("without the declaration %d things are missing, want hub, 3, 4 and belt", len(missing))
	}
}

func TestMissing(t *testing.T) {
	out := state.Run(statetest.Job(mixer, "a: remove 7, 8"))
	add := Additions{Steps: own(out.Job.Machine, "a-back: fit 7; tighten 7")}
	missing := Missing(out, out.Then(jobBack(t, out, add)), add)
	if len(missing) != 1 || missing[0].Row.ID != "8" || missing[0].Is != "out" {
		t.Errorf("missing: %v, want 8", missing)
	}
}

func TestWordsOfSteps(t *testing.T) {
	out := state.Run(statetest.Job(mixer, "a needs=cool: caution hub, hood; caution motor; mark hub, belt; loosen 3; remove 4, 3; remove hub; disconnect belt; drain oil\nb: remove 5; remove left-foot; stop\nc: loosen 7"))
	job := jobBack(t, out, Additions{})
	var got []string
	for _, s := range job.Steps {
		for _, a := range s.Actions() {
			got = append(got, string(a.Verb)+" "+a.Object.ID+": "+a.Reason.Plain())
		}
	}
	want := []string{
		"tighten 7: ",
		"fit left-foot: left side",
		"fit 5: ",
		"tighten 5: ",
		"flush oil: ",
		"fill oil: fresh",
		"connect belt: ",
		"fit hub: ",
		"fit 3: ",
		"fit 4: ",
		"tighten 4: ",
		"tighten 3: bend its tab against a flat",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("the actions say\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	first, last := job.Steps[0], job.Steps[2]
	if first.Title != "Tighten 7" || last.Title != "Put the hub back" || job.Procedure.Title != "Refitting: Job" || job.Procedure.ID != "job-back" {
		t.Errorf("titles are %q, %q and %q", first.Title, last.Title, job.Procedure.Title)
	}
	if len(last.Needs) != 0 {
		t.Error("the refitting still needs cool, which passes by itself")
	}
	if !first.SafeStop || last.SafeStop {
		t.Error("the safe stop after b is not one before b in the refitting")
	}
	c, ok := last.Blocks[0].(*procedure.Caution)
	if !ok || len(c.About) != 1 || c.About[0].ID != "hub" {
		t.Errorf("the step begins with %v, want the caution about the hub", last.Blocks[0])
	}
	if c, ok := last.Blocks[1].(*procedure.Caution); ok {
		t.Error(c.About, "the caution about the motor, which is not touched, is taken over")
	}
}

func TestCautionsOfTakingOut(t *testing.T) {
	for _, outOnly := range []bool{false, true} {
		out := statetest.Job(mixer, "a: caution hood; remove 1; remove hood")
		out.Steps[0].Blocks[0].(*procedure.Caution).OutOnly = outOnly
		_, there := jobBack(t, state.Run(out), Additions{}).Steps[0].Blocks[0].(*procedure.Caution)
		if there == outOnly {
			t.Errorf("out-only %v: the caution is in the refitting: %v", outOnly, there)
		}
	}
}

// A step that takes the place of a derived one has the cautions of their chapter once.
func TestCautionsOfTheChapterOnce(t *testing.T) {
	out := statetest.Job(mixer, "a: caution hood; remove 1; remove hood")
	first := out.Steps[0]
	c := first.Blocks[0].(*procedure.Caution)
	c.Standing, first.Chapter, first.Standing = true, "Bare the drive", []*procedure.Caution{c}
	step := jobBack(t, state.Run(out), Additions{Steps: own(out.Machine, "a-back: inspect hood")}).Steps[0]
	n := 0
	for _, b := range step.Blocks {
		if b.Shows().Warning != nil {
			n++
		}
	}
	if n != 1 || len(step.Standing) != 1 {
		t.Errorf("the step has %d cautions, and %d of the chapter; want one", n, len(step.Standing))
	}
}

func TestTorqueSheet(t *testing.T) {
	out := state.Run(statetest.Job(mixer, "a: loosen 3; remove 4, 3; remove 7"))
	m := out.Job.Machine
	m.Fasteners[3].Tolerance = measure.Must("5 %") // the nut 4
	rows := TorqueSheet(jobBack(t, out, Additions{}))
	if len(rows) != 2 {
		t.Fatalf("%d rows, want 4 and 7: the tab washer has no torque", len(rows))
	}
	r := rows[0]
	if r.Fastener.ID != "4" || r.Place != 1 || r.Low.String() != "247 N·m" || r.High.String() != "273 N·m" || r.New {
		t.Errorf("the row of 4 is %+v", r)
	}
	if rows[1].Fastener.ID != "7" || rows[1].Place != 2 || !rows[1].Low.IsZero() {
		t.Errorf("the row of 7 is %+v", rows[1])
	}
}

func TestVariantsShareSteps(t *testing.T) {
	m := statetest.Machine(`
variant belt
variant chain
base frame
part hood 3
bolt 1 hood frame
bolt 2 hood frame variants=chain
belt belt hood frame variants=belt
chain chain hood frame variants=chain
`)
	p := statetest.Procedure(m, "a: loosen 1\nb variants=belt: disconnect belt\nc variants=chain: disconnect chain\nd: remove 1, 2; remove hood")
	back := Derive(p, Additions{}, english(t))
	var ids []string
	for _, s := range back.Steps {
		id := s.ID
		for _, v := range s.Variants {
			id += " " + v.ID
		}
		ids = append(ids, id)
	}
	// d is turned round with and without fastener 2, and the first variant's keeps the name; a is alike for both.
	if got := strings.Join(ids, ", "); got != "d-back-chain chain, c-back chain, d-back belt, b-back belt, a-back" {
		t.Errorf("the steps are %s", got)
	}
	for i, job := range back.Jobs() {
		want := jobBack(t, state.Run(p.Jobs()[i]), Additions{})
		got := strings.NewReplacer("-belt:", ":", "-chain:", ":").Replace(written(job))
		if got != written(want) {
			t.Errorf("%s: the refitting is\n%s\nwant\n%s", job.Variant.ID, got, written(want))
		}
	}
}

// twoDrives has a step d whose refitting differs by variant.
const twoDrives = `
variant belt
variant chain
base frame
part hood 3
bolt 1 hood frame
bolt 2 hood frame variants=chain
`

// called lists each step of a merged refitting: name, variants, what it comes after, where it links to.
func called(p *procedure.Procedure) string {
	var lines []string
	for _, s := range p.Steps {
		line := s.ID
		for _, v := range s.Variants {
			line += " " + v.ID
		}
		for _, r := range s.After {
			line += " >" + r.ID
		}
		s.EachProse(func(p procedure.Prose) {
			for _, r := range p.Links() {
				line += " #" + r.ID
			}
		})
		lines = append(lines, line)
	}
	return strings.Join(lines, "\n")
}

func TestNamesAcrossVariants(t *testing.T) {
	const job = "a: inspect 1\nd: remove 1, 2; remove hood"
	tests := []struct{ name, steps, own, links, want string }{
		{"behind a step that differs", job, "try after=d-back: inspect 1", "",
			"d-back-chain chain\nd-back belt\ntry >d-back >d-back-chain"},
		{"behind it and before the next", "b: establish slack\n" + job, "try after=d-back: inspect 1", "",
			"d-back-chain chain\nd-back belt\ntry >d-back >d-back-chain\nb-back"},
		{"own steps that differ, and one behind them", "b: establish slack\n" + job,
			"d-back variants=belt: fit hood; fit 1; tighten 1; inspect 1\nd-back variants=chain: fit hood; fit 1, 2; tighten 1, 2\ntry after=d-back: inspect 1", "",
			"d-back-chain chain\nd-back belt\ntry >d-back >d-back-chain\nb-back"},
		{"by the name that one variant's step gets", "b: establish slack\n" + job, "try variants=chain after=d-back-chain: inspect 1", "",
			"d-back-chain chain\ntry chain >d-back-chain\nd-back belt\nb-back"},
		{"a step that links to it is divided, and what links to that", job, "try after=d-back: inspect 1\nmore: inspect 1\nalone: inspect 1", "try #d-back, more #try",
			"d-back-chain chain\ntry-chain chain >d-back-chain #d-back-chain\nmore-chain chain #try-chain\nd-back belt\ntry belt >d-back #d-back\nmore belt #try\nalone"},
		{"the new name is taken", job, "d-back-chain: inspect 1", "",
			"d-back-chain-2 chain\nd-back belt\nd-back-chain"},
	}
	for _, test := range tests {
		m := statetest.Machine(twoDrives + "condition slack undo")
		p := statetest.Procedure(m, test.steps)
		add := Additions{Steps: own(m, test.own)}
		for _, link := range strings.Split(test.links, ", ") {
			from, to, _ := strings.Cut(link, " #")
			for _, s := range add.Steps {
				if s.ID == from {
					s.Blocks = append(s.Blocks, &procedure.Tip{Prose: procedure.Prose{Nodes: []prose.Node{{Kind: prose.StepLink, To: to}}}})
				}
			}
		}
		if got := called(Derive(p, add, english(t))); got != test.want {
			t.Errorf("%s: the steps are\n%s\nwant\n%s", test.name, got, test.want)
		}
	}
}

// Common practice, no source: what is pulled at, what is looked at for leaks, and
// what a hold point asks for with each kind of support.
func TestWordsByKind(t *testing.T) {
	const lift = "a: support gearbox with SUPPORT; remove 7, 8; hold\nb: lift gearbox with SUPPORT; set down gearbox on pallet; release gearbox from SUPPORT"
	lifting := func(supports string) string { return strings.ReplaceAll(lift, "SUPPORT", supports) }
	const floor, people = "The floor and the path of the load are clear", "Nobody is under the load or in front of it"
	const seat = "The seat is clean and clear: gearbox; It goes in this way round: face of gearbox"
	const hook, level = "The lifting gear sits straight and each hook latch is closed", "The support is level and its brakes are on"
	const grip = "The path to the seat is clear, and everybody has a firm grip"
	tests := []struct{ name, steps, want string }{
		{"a plug", "a: disconnect plug", "pull to check that it is secure"},
		{"a cable", "a: disconnect lead", "pull to check that it is secure"},
		{"an earth strap", "a: disconnect earth", "pull to check that it is secure"},
		{"a hose", "a: disconnect line", "check that it is tight and dry"},
		{"a belt", "a: disconnect belt", ""},
		{"a lift on a hoist", lifting("hoist, sling"), strings.Join([]string{floor, hook, people, seat}, "; ")},
		{"a lift on a lift table", lifting("jack"), strings.Join([]string{floor, level, people, seat}, "; ")},
		{"a lift in hands", lifting("helper"), strings.Join([]string{grip, seat}, "; ")},
		{"a lift that names nothing", "a: remove 7, 8; hold\nb: lift gearbox; set down gearbox on pallet", strings.Join([]string{floor, hook, people, seat}, "; ")},
		{"a lift on a hoist that a helper steers", lifting("hoist, helper"), strings.Join([]string{floor, hook, grip, people, seat}, "; ")},
	}
	for _, test := range tests {
		var got []string
		first := jobBack(t, state.Run(statetest.Job(mixer, test.steps)), Additions{}).Steps[0]
		for _, b := range first.Blocks {
			switch b := b.(type) {
			case *procedure.ActionList:
				if words := b.Actions[0].Reason.Plain(); words != "" {
					got = append(got, words)
				}
			case *procedure.Hold:
				for _, c := range b.Confirmations {
					if b.Title == "Before the lift" {
						got = append(got, c.Plain())
					}
				}
			}
		}
		if s := strings.Join(got, "; "); s != test.want {
			t.Errorf("%s: the refitting says\n%s\nwant\n%s", test.name, s, test.want)
		}
	}
}

func TestNothingToTurnRound(t *testing.T) {
	out := state.Run(statetest.Job(mixer, "a: inspect 1; mark hood"))
	if job := jobBack(t, out, Additions{}); len(job.Steps) != 0 {
		t.Errorf("the refitting has the steps\n%s", written(job))
	}
	if p := Derive(&procedure.Procedure{ID: "x"}, Additions{}, english(t)); len(p.Steps) != 0 {
		t.Error("a procedure without a machine has a refitting")
	}
}

func TestTitles(t *testing.T) {
	for _, c := range []struct{ steps, want string }{
		{"a: remove 7, 8", "Fit the long bolt (7) and 8"},
		{"a: loosen 7", "Tighten the long bolt (7)"},
		{"a: establish slack", "Take up the slack"},
		{"a: establish slack; establish barred", "Take up the slack"},
		{"a: disconnect belt", "Connect the belt"},
		{"a: loosen 3", "Lock 3"},
		{"a: loosen 3, 7", "Tighten the long bolt (7)"},
		{"a: support hood with hoist\nb: remove 1; lift hood with hoist; set down hood on pallet\nc: release hood from hoist", "Hang the hood on the lifting gear"},
		{"a: support hood with jack\nb: remove 1; lift hood with jack; set down hood on pallet\nc: release hood from jack", "Support the hood from below"},
		{"a: support hood with helper\nb: remove 1; lift hood with helper; set down hood on pallet\nc: release hood from helper", "Hold the hood by hand"},
		{"a: support hood with hoist", "Take the lifting gear off the hood"},
		{"a: support hood with jack", "Take the support away from the hood"},
		{"a: support hood with helper", "Let go of the hood"},
	} {
		out := statetest.Job(mixer+"condition barred undo", c.steps)
		m := out.Machine
		m.Thing("7").Row.Name = "long bolt"
		m.Thing("slack").Condition.Undo, m.Thing("barred").Condition.Undo = "take up the slack", "take the barrier away"
		if got := jobBack(t, state.Run(out), Additions{}).Steps[0].Title; got != c.want {
			t.Errorf("%s: %q, want %q", c.steps, got, c.want)
		}
	}
}
