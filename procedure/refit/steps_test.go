package refit

import (
	"fmt"
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/state"
	"matchmark/procedure/state/statetest"
)

// whole writes all that a step says, a line for each block.
func whole(s *procedure.Step) string {
	refs := func(list []procedure.Ref) string {
		var out []string
		for _, r := range list {
			out = append(out, r.ID)
		}
		return strings.Join(out, ",")
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%d %s %q %.4g/%.4g/%.4g people=%d tools=%s figure=%s needs=%s", s.Number, s.ID, s.Title, s.Time.Optimistic, s.Time.Likely, s.Time.Pessimistic, s.People, refs(s.Tools), s.Figure.ID, refs(s.Needs))
	if s.SafeStop {
		b.WriteString(" stop")
	}
	actions := func(list []*procedure.Action) {
		for _, a := range list {
			fmt.Fprintf(&b, "; %s %s", a.Verb, a.Object.ID)
			if len(a.With) > 0 {
				b.WriteString(" with " + refs(a.With))
			}
			if a.Reason.Plain() != "" {
				b.WriteString(" (" + a.Reason.Plain() + ")")
			}
		}
	}
	for _, block := range s.Blocks {
		switch block := block.(type) {
		case *procedure.Instruction:
			fmt.Fprintf(&b, "\n  %s", block.Prose.Plain())
		case *procedure.Caution:
			fmt.Fprintf(&b, "\n  caution %s", refs(block.About))
		case *procedure.ActionList:
			b.WriteString("\n  list")
			actions(block.Actions)
		case *procedure.Callout:
			b.WriteString("\n  callout " + block.Figure.ID)
			actions(block.Actions)
		case *procedure.Hold:
			fmt.Fprintf(&b, "\n  hold %q signed by %q safe %v", block.Title, block.Signature, block.SafeStop)
			for _, c := range block.Confirmations {
				b.WriteString("; " + c.Plain())
			}
		default:
			fmt.Fprintf(&b, "\n  %T", block)
		}
	}
	return b.String()
}

// onFigures puts the fasteners of a job's steps into callouts, on the figure of each.
func onFigures(job *procedure.Job, figures map[string]string) {
	for _, s := range job.Steps {
		for i, b := range s.Blocks {
			if list, ok := b.(*procedure.ActionList); ok && figures[list.Actions[0].Object.ID] != "" {
				s.Blocks[i] = &procedure.Callout{Common: list.Common, Figure: procedure.Ref{ID: figures[list.Actions[0].Object.ID]}, Actions: list.Actions}
			}
		}
	}
}

// A whole job with all that a step can bring, turned round by hand as the package's comment says.
func TestWholeWayBack(t *testing.T) {
	job := statetest.Job(mixer, strings.Join([]string{
		"stop people=2: establish stopped",
		"off: establish isolated",
		"dead: verify isolated; establish dead; verify dead",
		"drain tools=can needs=dead: drain oil; disconnect line",
		"hood needs=dead tools=wrench: caution hood; caution motor; caution; loosen 1; remove 1; remove hood; stop",
		"hang people=2 needs=cool: support gearbox with hoist; loosen 7; remove 7, 8; hold",
		"lift people=3 needs=dead: caution gearbox,motor; lift gearbox with hoist; set down gearbox on pallet; release gearbox from hoist",
		"slack: establish slack; establish cool; hold",
	}, "\n"))
	for i, s := range job.Steps {
		s.Time = procedure.Estimate{Optimistic: float64(3 * (i + 1)), Likely: float64(6 * (i + 1)), Pessimistic: float64(12 * (i + 1))}
		s.Figure = procedure.Ref{ID: "fig-" + s.ID}
		if h := state.Hold(s); h != nil {
			h.Signature, h.SafeStop = "trainer of "+s.ID, true
		}
	}
	job.Machine.Thing("oil").Row.Name = "gear oil"
	onFigures(job, map[string]string{"1": "top", "7": "front"})
	back := jobBack(t, state.Run(job), Additions{})
	var got []string
	for _, s := range back.Steps {
		got = append(got, whole(s))
	}
	want := strings.TrimSpace(`
1 refit-start "Prove it dead again" 9/18/36 people=1 tools= figure=fig-dead needs=
  Days may lie between removal and refitting. Look where the energy is locked off: your own lock and tag hang there. Is one of them gone? Stop and tell your trainer. Then prove again that no energy can return.
  list; verify isolated; verify dead
2 slack-back "Undo of slack" 24/48/96 people=1 tools= figure=fig-slack needs=
  list; undo slack
3 lift-back-ready "Hang the gearbox on the lifting gear" 7/14/28 people=3 tools= figure=fig-lift needs=dead
  caution gearbox
  list; support gearbox with hoist
  hold "Before the lift" signed by "trainer of hang" safe false; The floor and the path of the load are clear; The lifting gear sits straight and each hook latch is closed; Nobody is under the load or in front of it; The seat is clean and clear: gearbox; It goes in this way round: face of gearbox
4 lift-back "Put the gearbox back" 14/28/56 people=3 tools= figure=fig-lift needs=dead stop
  caution gearbox
  list; lift gearbox with hoist
  Leave the lifting gear tight. It comes off only when these are tight: 7 and 8.
  list; fit gearbox
5 hang-back "Fit 7 and 8" 18/36/72 people=2 tools= figure=fig-hang needs=cool stop
  callout front; fit 7; fit 8; tighten 7; tighten 8
  list; release gearbox with hoist
6 hood-back "Put the hood back" 15/30/60 people=1 tools=wrench figure=fig-hood needs=dead
  caution hood
  caution 
  list; fit hood
  callout top; fit 1; tighten 1
7 drain-back "Connect the line" 12/24/48 people=1 tools=can figure=fig-drain needs=dead
  list; connect line (check that it is tight and dry); flush oil; fill oil (fresh)
  hold "Before return to service" signed by "trainer of slack" safe true; Every bag is empty; Every line of the torque sheet is initialled; All tools are counted and out of the machine; The level of gear oil is correct and nothing leaks; All guards and covers are fitted; Everybody is clear of the machine and knows that it will start
8 refit-end "Return to service" 18/36/72 people=2 tools= figure= needs=
  caution 
  Each person takes off only their own lock.
  list; undo isolated; undo dead; undo stopped
`)
	if s := strings.Join(got, "\n"); s != want {
		t.Errorf("the refitting is\n%s\nwant\n%s", s, want)
	}
}

// What happened more than once, or was taken back on the way: the end counts.
func TestOnlyTheEndCounts(t *testing.T) {
	tests := []struct{ name, steps, want string }{
		{"fitted again, but only finger-tight", "a: remove 7\nb: fit 7", "b-back: tighten 7 |"},
		{"loosened twice", "a: loosen 7; tighten 7\nb: loosen 7", "b-back: tighten 7 |"},
		{"loosened, and taken out later", "a: loosen 7\nb: remove 7", "b-back: fit 7\na-back: tighten 7 |"},
		{"taken out twice", "a: remove 7\nb: fit 7; tighten 7\nc: remove 7", "c-back: fit 7; tighten 7 |"},
		{"loosened before it was tightened and taken out in one go", "a: loosen 7; tighten 7\nb: remove 7", "b-back: fit 7; tighten 7 |"},
		{"a pin loosened and taken out", "a: loosen 12; remove 12", "a-back: fit 12 |"},
		{"drained twice", "a: drain oil; fill oil\nb: drain oil", "b-back: flush oil; fill oil |"},
		{"drained again while empty", "a: drain oil\nb: drain oil", "b-back: flush oil; fill oil |"},
		{"drained after its line came off", "a: disconnect line\nb: drain oil", "a-back: connect line; flush oil; fill oil |"},
		{"drained after its plug came out", "a: remove 9\nb: drain oil\nc: loosen 7", "c-back: tighten 7\na-back: fit 9; tighten 9; flush oil; fill oil |"},
		{"flushed after its line came off", "a: disconnect line\nb: drain oil; flush oil", "a-back: connect line; fill oil |"},
		{"drained and filled", "a: drain oil\nb: fill oil", ""},
		{"ended and begun again", "a: establish slack\nb: undo slack\nc: establish slack", "c-back: undo slack |"},
		{"begun twice", "a: establish slack\nb: establish slack", "a-back: undo slack |"},
		{"ended on the way", "a: establish slack\nb: undo slack", ""},
		{"connected again", "a: disconnect line\nb: connect line", ""},
		{"disconnected twice", "a: disconnect line; connect line\nb: disconnect line", "b-back: connect line |"},
		{"a support that stays on", "a: support gearbox with hoist", "a-back: release gearbox with hoist |"},
		{"a support put on twice", "a: support gearbox with hoist; release gearbox from hoist\nb: support gearbox with hoist", "b-back: release gearbox with hoist |"},
		{"two supports, one of them for a while", "a: support gearbox with hoist, sling\nb: release gearbox from sling", "a-back: release gearbox with hoist |"},
		{"a support put on again while it was on", "a: support gearbox with hoist\nb: support gearbox with hoist, sling", "b-back: release gearbox with sling\na-back: release gearbox with hoist |"},
		{"a support that came away", "a: support gearbox with hoist; release gearbox from hoist", ""},
		{"taken off, fitted and taken off again", "a: remove 1; remove hood\nb: fit hood\nc: remove hood", "c-back: fit hood\na-back: fit 1; tighten 1 |"},
		{"proved twice", "a: establish isolated; verify isolated\nb: verify isolated\nc: loosen 2", "refit-start: verify isolated\nc-back: tighten 2 |\nrefit-end: undo isolated"},
		{"proved and ended", "a: establish isolated; verify isolated; undo isolated\nb: loosen 2", "b-back: tighten 2 |"},
		{"never proved", "a: establish isolated\nb: loosen 2", "b-back: tighten 2 |\nrefit-end: undo isolated"},
		{"proved, but keeps no energy away", "a: establish slack; verify slack\nb: loosen 2", "b-back: tighten 2\na-back: undo slack |"},
		{"kept away twice", "a: establish isolated\nb: undo isolated\nc: establish isolated\nd: loosen 2", "d-back: tighten 2 |\nrefit-end: undo isolated"},
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

// What stays out needs no refitting, of whatever kind it is, and what is declared is not asked for at the end.
func TestEachKindDeclaredOut(t *testing.T) {
	for _, c := range []struct{ steps, out, want string }{
		{"a: remove 7, 8", "7", "a-back: fit 8; tighten 8 |"},
		{"a: loosen 7, 8", "7", "a-back: tighten 8 |"},
		{"a: remove 1; remove hood", "hood", ""},
		{"a: remove 1; remove hood", "1", "a-back: fit hood |"},
		{"a: disconnect line, belt", "line", "a-back: connect belt |"},
		{"a: drain oil; loosen 7", "oil", "a-back: tighten 7 |"},
		{"a: disconnect belt; remove 2", "motor,nothing", ""},
		{"a: establish slack; loosen 7", "slack", "a-back: tighten 7; undo slack |"}, // a condition is not declared out
	} {
		out := state.Run(statetest.Job(mixer, c.steps))
		job := jobBack(t, out, Additions{Out: statetest.Refs(c.out)})
		if got := written(job); got != c.want {
			t.Errorf("%s without %s: the refitting is\n%s\nwant\n%s", c.steps, c.out, got, c.want)
		}
		for _, s := range job.Steps {
			if h := state.Hold(s); h != nil {
				for _, confirmed := range h.Confirmations {
					if strings.Contains(confirmed.Plain(), "level of") {
						t.Errorf("%s without %s: asks for %q", c.steps, c.out, confirmed.Plain())
					}
				}
			}
		}
	}
}

// What does not go back is told before the machine goes back to work, so that nobody looks for it in vain; and what came back is not.
func TestWhatStaysOutIsTold(t *testing.T) {
	for _, c := range []struct{ steps, out, want string }{
		{"a: remove 7, 8", "7", "These stay out, and nobody looks for them: 7 7"},
		{"a: remove 1; remove hood; remove 8", "hood", "These stay out, and nobody looks for them: hood, 1 1"},
		{"a: remove 7; fit 7; tighten 7; remove 8", "7", ""},
		{"a: remove 7, 8", "", ""},
	} {
		job := jobBack(t, state.Run(statetest.Job(mixer, c.steps)), Additions{Out: statetest.Refs(c.out)})
		h := state.Hold(job.Steps[len(job.Steps)-1])
		got := ""
		if said := h.Confirmations[len(h.Confirmations)-1].Plain(); strings.HasPrefix(said, "These stay out") {
			got = said
		}
		if got != c.want {
			t.Errorf("%s without %s: told %q, want %q", c.steps, c.out, got, c.want)
		}
	}
}

// What is pressed into a part goes in before that part does.
func TestPressedPartGoesBackFirst(t *testing.T) {
	const rotor = "base frame\npart shaft 8\npart bearing 2 held-by=shaft\nbolt 1 shaft frame\nhoist hoist 100"
	out := state.Run(statetest.Job(rotor, "a: remove 1; remove shaft\nb: remove bearing"))
	job := jobBack(t, out, Additions{})
	if got, want := written(job), "b-back: fit bearing\na-back: fit shaft; fit 1; tighten 1 |"; got != want {
		t.Errorf("the refitting is\n%s\nwant\n%s", got, want)
	}
	if missing := Missing(out, out.Then(job), Additions{}); len(missing) > 0 {
		t.Errorf("missing at the end: %v", missing)
	}
}

// When a support comes away: after what takes over from it is tight, unless another part wants it before.
func TestWhenSupportsComeAway(t *testing.T) {
	const lifted = "lift gearbox with hoist; set down gearbox on pallet; release gearbox from hoist"
	const motor = "\nx: support motor with hoist; remove 2; hold\ny: lift motor with hoist; set down motor on pallet; release motor from hoist"
	const back = "d-back-ready: support gearbox with hoist |\nd-back: lift gearbox with hoist; fit gearbox\n"
	const motorBack = "y-back-ready: support motor with hoist |\ny-back: lift motor with hoist; fit motor\nx-back: fit 2; tighten 2; release motor with hoist\n"
	tests := []struct{ name, steps, want string }{
		{"another part wanted it earlier", "a: remove 7\nb: support gearbox with hoist\nc: remove 8; hold\nd: " + lifted + motor,
			motorBack + back + "c-back: fit 8\na-back: fit 7; tighten 8; tighten 7\nb-back: release gearbox with hoist |"},
		{"another part wants it later", strings.TrimPrefix(motor, "\n") + "\na: remove 7\nb: support gearbox with hoist\nc: remove 8; hold\nd: " + lifted,
			back + "c-back: fit 8\na-back: fit 7; tighten 8; tighten 7\nb-back: release gearbox with hoist\n" + strings.TrimSuffix(motorBack, "\n") + " |"},
		{"another part wants another one", "a: remove 7" + strings.ReplaceAll(motor, "hoist", "jack") + "\nb: support gearbox with hoist\nc: remove 8; hold\nd: " + lifted,
			back + "c-back: fit 8\n" + strings.ReplaceAll(motorBack, "hoist", "jack") + "a-back: fit 7; tighten 8; tighten 7\nb-back: release gearbox with hoist |"},
		{"none of the part's fasteners came out while it carried", "a: remove 7, 8\nb: support gearbox with hoist; hold\nd: " + lifted,
			back + "a-back: fit 7; fit 8; tighten 7; tighten 8\nb-back: release gearbox with hoist |"},
		{"what joins it to a part that comes along takes nothing over", "a: remove 5\nb: support gearbox with hoist; remove 7, 8; hold\nd: " + lifted,
			back + "b-back: fit 7; fit 8; tighten 7; tighten 8; release gearbox with hoist\na-back: fit 5; tighten 5 |"},
		{"a part that stays in place", "a: support motor with hoist\nb: remove 2\nc: loosen 7",
			"c-back: tighten 7\nb-back: fit 2; tighten 2\na-back: release motor with hoist |"},
		{"a part that stays in place, undone before", "a: remove 2\nb: support motor with hoist\nc: loosen 7",
			"c-back: tighten 7\na-back: fit 2; tighten 2\nb-back: release motor with hoist |"},
		{"held by a pin", "a: support hub with hoist; remove 4, 12; hold\nd: lift hub with hoist; set down hub on pallet; release hub from hoist\ne: loosen 7",
			"e-back: tighten 7\nd-back-ready: support hub with hoist |\nd-back: lift hub with hoist; fit hub\na-back: fit 4; fit 12; tighten 4; release hub with hoist |"},
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

// The hold point before a lift is signed by whoever signed the last one before the lift was made.
func TestWhoSignsForALift(t *testing.T) {
	const lift = "support gearbox with hoist; remove 7, 8"
	for _, c := range []struct{ steps, want string }{
		{"a: " + lift + "; hold\nb: lift gearbox with hoist; set down gearbox on pallet; hold\nc: release gearbox from hoist; hold", "signed in a"},
		{"z: inspect 7; hold\na: " + lift + "; hold\nb: lift gearbox with hoist; set down gearbox on pallet; hold", "signed in a"},
		{"z: inspect 7; hold\na: " + lift + "\nb: lift gearbox with hoist; set down gearbox on pallet; hold", "signed in z"},
		{"a: " + lift + "\nb: lift gearbox with hoist; set down gearbox on pallet; hold", ""},
	} {
		job := statetest.Job(mixer, c.steps)
		for _, s := range job.Steps {
			if h := state.Hold(s); h != nil {
				h.Signature = "signed in " + s.ID
			}
		}
		for _, s := range jobBack(t, state.Run(job), Additions{}).Steps {
			if h := state.Hold(s); h != nil && h.Title == "Before the lift" && h.Signature != c.want {
				t.Errorf("%s: %q, want %q", c.steps, h.Signature, c.want)
			}
		}
	}
}

// What a derived step needs and the refitting has no reason to meet is not asked for; what the author asks for stays.
func TestNeedsOfTheWayBack(t *testing.T) {
	out := state.Run(statetest.Job(mixer, "a: establish slack\nb needs=slack,cool: loosen 2\nc needs=nothing: loosen 8\nd: undo slack\ne needs=slack: loosen 7"))
	job := jobBack(t, out, Additions{Steps: own(out.Job.Machine, "e-back needs=cool: tighten 7")})
	var got []string
	for _, s := range job.Steps {
		line := s.ID
		for _, r := range s.Needs {
			line += " " + r.ID
		}
		got = append(got, line)
	}
	if s := strings.Join(got, ", "); s != "e-back cool, c-back, b-back" {
		t.Errorf("the steps need: %s", s)
	}
	// What still holds is needed on.
	out = state.Run(statetest.Job(mixer, "a: establish slack\nb needs=slack: loosen 2"))
	if s := jobBack(t, out, Additions{}).Steps[0]; len(s.Needs) != 1 || s.Needs[0].ID != "slack" {
		t.Errorf("%s needs %v", s.ID, s.Needs)
	}
}

// Fasteners of the same parts are one joint, whichever part their rows name first.
func TestJointsWhateverTheOrder(t *testing.T) {
	out := state.Run(statetest.Job(mixer+"bolt 20 frame gearbox\nbolt 21\nbolt 22", "a: remove 7\nb: remove 20\nc: remove 21\nd: remove 22"))
	if got := written(jobBack(t, out, Additions{})); got != "d-back: fit 22; tighten 22\nc-back: fit 21; tighten 21\nb-back: fit 20\na-back: fit 7; tighten 20; tighten 7 |" {
		t.Errorf("the refitting is\n%s", got)
	}
}

// Conditions that need each other keep no energy away, unless one of them is an energy condition.
func TestConditionsInARing(t *testing.T) {
	const ring = "\ncondition open needs=shut undo\ncondition shut needs=open undo"
	for _, c := range []struct{ rows, want string }{
		{ring, "c-back: tighten 7\na-back: undo shut; undo open |"},
		{ring + "\nenergy away needs=open undo", "c-back: tighten 7 |\nrefit-end: undo shut; undo open"},
		{"\nenergy open needs=shut undo\nenergy shut needs=open undo", "c-back: tighten 7 |\nrefit-end: undo shut; undo open"},
	} {
		out := state.Run(statetest.Job(mixer+c.rows, "a: establish open; establish shut\nc: loosen 7"))
		if got := written(jobBack(t, out, Additions{})); got != c.want {
			t.Errorf("%s: the refitting is\n%s\nwant\n%s", c.rows, got, c.want)
		}
	}
}

// A step of a variant has two names, its own and the one that it gets when the variants are
// joined. Steps behind either stand in the order in which they were written.
func TestBehindOneStepByTwoNames(t *testing.T) {
	m := statetest.Machine(mixer + "variant belt\nvariant chain")
	job := statetest.Procedure(m, "a: loosen 7\nb: loosen 2").Jobs()[0]
	add := Additions{Steps: own(m, "x after=b-back: inspect 1\ny after=b-back-belt: inspect 2\nz after=b-back-belt,b-back: inspect 7\nw after=b-back-chain: inspect 8\nv after=a-back-belt: inspect 8")}
	if got := written(jobBack(t, state.Run(job), add)); got != "b-back: tighten 2\nx: inspect 1\ny: inspect 2\nz: inspect 7\na-back: tighten 7\nv: inspect 8\nw: inspect 8 |" {
		t.Errorf("the refitting is\n%s", got)
	}
}

// Only a fluid whose row asks for it is flushed; the steps of all variants are numbered from 1; and gear
// that was taken off a part that stands without it asks for nothing.
func TestWhatIsNotAskedFor(t *testing.T) {
	m := statetest.Machine(mixer + "fluid grease")
	p := statetest.Procedure(m, "a: drain grease\nb: loosen 7")
	back := Derive(p, Additions{}, english(t))
	if got := written(back.Jobs()[0]); got != "b-back: tighten 7\na-back: fill grease |" {
		t.Errorf("the refitting is\n%s", got)
	}
	for i, s := range back.Steps {
		if s.Number != i+1 {
			t.Errorf("%s is step %d, want %d", s.ID, s.Number, i+1)
		}
	}
	out := state.Run(statetest.Job(mixer, "a: remove 1; remove hood\nb: support hood with hoist\nc: release hood from hoist"))
	if got := written(jobBack(t, out, Additions{})); got != "a-back: fit hood; fit 1; tighten 1 |" {
		t.Errorf("the refitting is\n%s", got)
	}
}
