package refit

import (
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/state"
	"matchmark/procedure/state/statetest"
)

// carried is a gearbox on feet: feet and rear bolt lead in a ring from the frame to it and back.
const carried = `
base frame
part hood 12
part guard 4 under=hood
part foot 3
part gearbox 64
bolt 1 hood frame
bolt 2 guard frame
bolt 5 foot gearbox count=2
bolt 6 foot frame count=2
bolt 7 gearbox frame
bolt 8 gearbox frame after=5,6
bolt 9 gearbox frame count=12
bolt 10 frame under=guard
hoist hoist 250
stand pallet 500
`

// TestNothingTightTooEarly: nothing is tight before all that it lines up with is in, and nothing that a cover hides is
// tightened after it. Common practice, no source.
func TestNothingTightTooEarly(t *testing.T) {
	for _, c := range []struct{ name, steps, want string }{
		{"what lines up is all in first", "a: remove 7\nb: remove 5; remove 6; remove foot",
			"b-back: fit foot; fit 6; fit 5\na-back: fit 7; tighten 5; tighten 6; tighten 7 |"},
		{"before its row's last bolt", "a: loosen 5\nb: loosen 6\nc: loosen 8",
			"b-back: tighten 6\na-back: tighten 5; tighten 8 |"},
		{"what a cover hides is tight before it goes on", "a: remove 1; remove hood\nb: remove 2; remove guard\nc: remove 10",
			"c-back: fit 10; tighten 10\nb-back: fit guard; fit 2; tighten 2\na-back: fit hood; fit 1; tighten 1 |"},
		{"one circle, of which two stay in until the hoist carries", "a: remove 10 of 9\nb: support gearbox with hoist\nc: remove 2 of 9; hold\nd: lift gearbox with hoist; set down gearbox on pallet; release gearbox from hoist",
			"d-back-ready: support gearbox with hoist |\nd-back: lift gearbox with hoist; fit gearbox\nc-back: fit 2 of 9\na-back: fit 10 of 9; tighten 9\nb-back: release gearbox with hoist |"},
		{"some were out and in again on the way", "a: remove 4 of 9; fit 4 of 9; tighten 9\nb: remove 3 of 9", "b-back: fit 3 of 9; tighten 9 |"},
		{"all that is left comes out without a number", "a: remove 4 of 9\nb: remove 9", "b-back: fit 8 of 9\na-back: fit 4 of 9; tighten 9 |"},
	} {
		out := state.Run(statetest.Job(carried, c.steps))
		job := jobBack(t, out, Additions{})
		if got := written(job); got != c.want {
			t.Errorf("%s: the way back is\n%s\nwant\n%s", c.name, got, c.want)
		}
		if missing := Missing(out, out.Then(job), Additions{}); len(missing) > 0 {
			t.Errorf("%s: missing at the end: %v", c.name, missing)
		}
	}
}

// TestBenchFirst: what can be turned only on the bench is tight before the unit leaves it, however it lines up with what is in the
// machine.
func TestBenchFirst(t *testing.T) {
	const unit = `
base frame
part gearbox 64
part hub 9
bolt 1 gearbox frame
bolt 2 hub gearbox on-bench=gearbox
bolt 3 hub frame
hoist hoist 250
stand pallet 500
`
	out := state.Run(statetest.Job(unit, "a: support gearbox with hoist; remove 1, 3; hold\nb: lift gearbox with hoist; set down gearbox on pallet; release gearbox from hoist\nc: remove 2; remove hub"))
	job := jobBack(t, out, Additions{})
	const want = "c-back: fit hub; fit 2; tighten 2\nb-back-ready: support gearbox with hoist |\nb-back: lift gearbox with hoist; fit gearbox\na-back: fit 1; fit 3; tighten 1; tighten 3; release gearbox with hoist |"
	if got := written(job); got != want {
		t.Errorf("the way back is\n%s\nwant\n%s", got, want)
	}
	if missing := Missing(out, out.Then(job), Additions{}); len(missing) > 0 {
		t.Errorf("missing at the end: %v", missing)
	}
}

// TestRings finds what lines up with what.
func TestRings(t *testing.T) {
	a := state.NewAssembly(statetest.Machine(carried), nil)
	ring := LinesUp(a)
	of := func(id string) int { return ring[a.Fastener(id).Index] }
	for _, id := range []string{"6", "7", "8", "9"} {
		if of(id) != of("5") {
			t.Errorf("5 and %s lie in one ring", id)
		}
	}
	for _, id := range []string{"1", "2"} {
		if of(id) == of("5") || of("1") == of("2") {
			t.Errorf("%s lies in no ring with others", id)
		}
	}
	if of("10") != -1 {
		t.Error("10 joins one part, so it lies in no ring")
	}
}

// TestGaps: a derived step says that nobody has written how, where the words of the removal say it, and only there.
func TestGaps(t *testing.T) {
	job := statetest.Job(carried, "a: remove 1; remove hood\nb: remove 2; remove guard")
	job.Steps[0].Blocks = append([]procedure.Block{&procedure.Instruction{Prose: procedure.Words(job.Steps[0].Span, "Tilt the hood to the rear.")}}, job.Steps[0].Blocks...)
	back := jobBack(t, state.Run(job), Additions{})
	gap := func(s *procedure.Step) bool {
		_, text := s.Blocks[0].(*procedure.Instruction)
		return text && s.Gap
	}
	if gap(back.Step("b-back")) || !gap(back.Step("a-back")) {
		t.Errorf("the gaps are %v and %v, want one in a-back", back.Step("a-back").Gap, back.Step("b-back").Gap)
	}
}

// TestHeldAgain: what the removal tells to hold is held on the way back, in its words; what is looked at, marked and put away on the way out is not missed.
func TestHeldAgain(t *testing.T) {
	for said, want := range map[string]string{
		"Hold the hood with both hands.":                  "Hold the hood with both hands.",
		"Let your helper hold the hood. Watch the gap.":   "Let your helper hold the hood.",
		"Look for dust behind it. Take a photo.":          "",
		"The hood has two dents. Wait until it is still.": "",
	} {
		job := statetest.Job(carried, "a: remove 1; remove hood")
		job.Steps[0].Blocks = append([]procedure.Block{&procedure.Instruction{Prose: procedure.Words(job.Steps[0].Span, said)}}, job.Steps[0].Blocks...)
		s := jobBack(t, state.Run(job), Additions{}).Step("a-back")
		got := ""
		if text, ok := s.Blocks[0].(*procedure.Instruction); ok {
			got = text.Prose.Plain()
		}
		if s.Gap || got != want {
			t.Errorf("%q: a gap %v, and the way back says %q, want %q", said, s.Gap, got, want)
		}
	}
}

// TestGermanGaps: what the words of a German removal tell is read in German.
func TestGermanGaps(t *testing.T) {
	for said, want := range map[string]bool{
		"Die Haube abnehmen.":                    false,
		"Nehmen Sie die Haube ab.":               false,
		"Die Haube zu zweit nach hinten kippen.": true,
	} {
		job := statetest.Job(carried, "a: remove 1; remove hood")
		job.Machine.Thing("hood").Row.Name = "Haube"
		job.Steps[0].Blocks = append([]procedure.Block{&procedure.Instruction{Prose: procedure.Words(job.Steps[0].Span, said)}}, job.Steps[0].Blocks...)
		english := english(t)
		german := func(key string, args ...any) string {
			if key == "refit.language" {
				return "de"
			}
			return english(key, args...)
		}
		if got := Run(state.Run(job), Additions{}, german).Job.Step("a-back"); got.Gap != want {
			t.Errorf("%s: a gap %v, want %v", said, got.Gap, want)
		}
	}
}
