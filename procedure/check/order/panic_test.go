package order

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/order"
	"matchmark/procedure/refit"
	"matchmark/procedure/schedule"
	"matchmark/procedure/state/statetest"
	"matchmark/procedure/text"
)

// everyThing is a machine with a thing of every register, with variants and with names that lead nowhere.
const everyThing = `
variant chain
variant belt
base frame
part hood 6 face mark
part hub 6 under=hood twin=lamp side=left
part gearbox 64 under=hood,hub,nowhere
part lamp 1 variants=chain twin=hub side=right
part crank
bolt 1 hood frame
bolt 4 gearbox frame torque=45 single-use
bolt 5 gearbox nowhere
washer 6 hub gearbox locks=7
nut 7 hub gearbox variants=belt
screw 8 lamp gearbox
plug 10 gearbox
pin 11 hub gearbox
clamp 12 lamp gearbox
stud 13 gearbox
key 14 hub gearbox
circlip 15
hose line gearbox frame carries=oil
belt belt gearbox frame needs=slack
chain chain gearbox needs=nowhere
strap strap hood frame mark
fluid oil single-use flush
fluid water
hoist hoist 250
sling sling 400
jack jack
stand pallet 500
hands hands 20
condition slack needs=dead lost-by=belt,gearbox,oil undo
condition cool
energy dead needs=isolated undo
energy isolated undo
energy slow lost-by=hood
tool socket
`

// TestNothingPanics does every verb to every kind of thing in any order: a job is
// wrong then, and every rule, there and back, and everything that is worked out from it goes to its end.
func TestNothingPanics(t *testing.T) {
	m := statetest.Machine(everyThing)
	var names []string
	for _, x := range m.Things() {
		names = append(names, x.Row.ID)
	}
	names = append(names, "nowhere", "99")
	fitting := map[procedure.Verb][]string{}
	for _, r := range procedure.VerbRules {
		for _, x := range m.Things() {
			if slices.Contains(r.Objects, x.Kind) {
				fitting[r.Verb] = append(fitting[r.Verb], x.Row.ID)
			}
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		p := statetest.Procedure(m, drawNonsense(t, names, fitting))
		p.RefitFile = drawWayBack(t, m, names, fitting)
		var log diagnostic.Log
		f := analysis.New(p)
		add := refit.AdditionsOf(p)
		RunOn(f, add, keys, &log)
		for _, d := range log.Sorted() {
			noFault(t, d)
		}
		for _, j := range f.Jobs {
			workOut(j)
		}
		for _, j := range f.Derive(add, keys).Jobs {
			for _, d := range onJob(j, Checks()) {
				noFault(t, d)
			}
			workOut(j)
		}
	})
}

func noFault(t *rapid.T, d diagnostic.Diagnostic) {
	if d.Fault != nil {
		t.Fatalf("%s: %s\n%s", d.Code, d.Says(), d.Fault.Stack)
	}
}

// workOut works out all that pages, sheets and plans show of a job.
func workOut(j *analysis.Job) {
	j.Order().Swaps()
	j.Network().Times()
	j.Clock()
	j.Lifts()
	j.Supplies()
	j.Torques()
	schedule.Ordered(j.Job, order.NewPrecedence(j.Trace()))
}

func drawNonsense(t *rapid.T, names []string, fitting map[procedure.Verb][]string) string {
	some := func(label string) string {
		return strings.Join(rapid.SliceOfN(rapid.SampledFrom(names), 1, 2).Draw(t, label), ",")
	}
	var b strings.Builder
	if rapid.Bool().Draw(t, "isolated first") {
		b.WriteString("on: establish isolated; verify isolated; establish dead; verify dead; establish slack\n")
	}
	steps := rapid.IntRange(1, 5).Draw(t, "steps")
	for i := range steps {
		fmt.Fprintf(&b, "s%d people=%d", i, rapid.IntRange(1, 3).Draw(t, "people"))
		switch rapid.IntRange(0, 7).Draw(t, "attribute") {
		case 0:
			b.WriteString(" needs=" + some("needs"))
		case 1:
			fmt.Fprintf(&b, " after=s%d", rapid.IntRange(0, steps).Draw(t, "after"))
		case 2:
			b.WriteString(" variants=" + rapid.SampledFrom([]string{"chain", "belt", "nowhere"}).Draw(t, "variant"))
		case 3:
			b.WriteString(" tools=" + some("tools"))
		}
		b.WriteString(":")
		for range rapid.IntRange(0, 5).Draw(t, "actions") {
			switch rapid.IntRange(0, 12).Draw(t, "block") {
			case 0:
				b.WriteString(" hold;")
				continue
			case 1:
				b.WriteString(" stop;")
				continue
			case 2:
				b.WriteString(" caution " + some("about") + ";")
				continue
			}
			rule := rapid.SampledFrom(procedure.VerbRules).Draw(t, "verb")
			object := some("object")
			if fit := fitting[rule.Verb]; rapid.IntRange(0, 3).Draw(t, "fitting") > 0 {
				object = rapid.SampledFrom(fit).Draw(t, "object that fits")
			}
			fmt.Fprintf(&b, " %s %s", rule.Verb, object)
			if rule.Word != "" && rapid.Bool().Draw(t, "with") {
				b.WriteString(" " + rule.Word + " " + some("further"))
			} else if rapid.IntRange(0, 4).Draw(t, "until") == 0 {
				b.WriteString(" until " + rapid.SampledFrom(append(slices.Clone(names), "s0", "s1")).Draw(t, "until what"))
			}
			b.WriteString(";")
		}
		b.WriteString("\n")
	}
	return b.String()
}

// drawWayBack draws what an author adds to the refitting, some of it in the place of derived steps.
func drawWayBack(t *rapid.T, m *procedure.Machine, names []string, fitting map[procedure.Verb][]string) *procedure.RefitFile {
	if rapid.Bool().Draw(t, "no refitting") {
		return nil
	}
	w := &procedure.RefitFile{Steps: statetest.Procedure(m, drawNonsense(t, names, fitting)).Steps, File: text.NewFile("back.md", nil)}
	for _, s := range w.Steps {
		if rapid.Bool().Draw(t, "in the place of") {
			s.ID += rapid.SampledFrom([]string{"-back", "-back-ready"}).Draw(t, "suffix")
		}
	}
	w.Out = statetest.Refs(strings.Join(rapid.SliceOfN(rapid.SampledFrom(names), 0, 2).Draw(t, "out"), ","))
	return w
}

// A rule that panics says so under its own code; the others still run.
func TestRuleThatPanics(t *testing.T) {
	job := statetest.Job("base frame\npart hood 3\nbolt 1 hood frame", "a: remove 1; remove 1; remove hood")
	broken := Check{Rule: diagnostic.Rule{Code: "broken", Severity: diagnostic.Advice}, Run: func(*Facts, func(diagnostic.Diagnostic)) {
		var step *procedure.Step
		_ = step.Number
	}}
	var got []string
	for _, d := range onJob(analysis.NewJob(job), []Check{broken, removedTwice}) {
		got = append(got, fmt.Sprint(d.Severity, " ", d.Code, " ", d.Fault != nil, " ", d.Span.File.Name))
	}
	if s := strings.Join(got, "; "); s != "error broken true job.md; error removed-twice false job.md" {
		t.Error(s)
	}
}

// A refitting that cannot be derived hides nothing of the removal.
func TestDerivationThatPanics(t *testing.T) {
	p := statetest.Procedure(statetest.Machine("base frame\npart hood 3\nbolt 1 hood frame\npart lid 2\nbolt 2 lid frame torque=9"), "a: remove 1; remove hood; mark lid\nb after=a: remove 2; remove lid")
	f := analysis.New(p)
	var log diagnostic.Log
	RunOn(f, refit.Additions{}, func(string, ...any) string { panic("derived into the void") }, &log)
	own, others := 0, 0
	for _, d := range log.Sorted() {
		if d.Fault != nil {
			own++
		} else {
			others++
		}
	}
	if own != 1 || others == 0 {
		t.Errorf("%d faults of our own and %d other messages: %v", own, others, log.Sorted())
	}
}

// Energy that the removal lets in again is lost before the refitting begins: no step of the refitting did it.
func TestEnergyUndoneOnTheWayOut(t *testing.T) {
	const machine = "base frame\npart lever 3\nbolt 1 lever frame torque=9\nenergy isolated undo\nenergy dead needs=isolated undo"
	const steps = "a: establish isolated; verify isolated; establish dead; verify dead\nb: remove 1; remove lever\nc: undo isolated"
	got := found(statetest.Procedure(statetest.Machine(machine), steps), refit.Additions{})
	for _, want := range []string{
		"energy-first: in the refitting: step 1 works on the lever before dead holds and is proved: it ends in step 3 of the removal",
		"energy-first: in the refitting: step 1 works on the lever before isolated holds and is proved: it ends in step 3 of the removal",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("found\n%s\nwithout\n%s", got, want)
		}
	}
}
