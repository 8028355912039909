package refit

import (
	"fmt"
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/state"
	"matchmark/procedure/state/statetest"
	"matchmark/procedure/text"
)

// TestInherited: an author's step that does none of the derived acts only changes how they are told.
func TestInherited(t *testing.T) {
	const steps = "a: remove 1; remove hood\nb: loosen 7; remove 8"
	const whole = "b-back: fit 8; tighten 7; tighten 8\na-back: fit hood; fit 1; tighten 1 |"
	tests := []struct{ name, own, want string }{
		{"nothing but words", "b-back: ", whole},
		{"an act more", "b-back: inspect 8", strings.Replace(whole, "b-back: ", "b-back: inspect 8; ", 1)},
		{"the acts are its own", "b-back: fit 8; tighten 8, 7", strings.Replace(whole, "tighten 7; tighten 8", "tighten 8; tighten 7", 1)},
		{"another step does them all", "b-back: inspect 8\nlate after=a-back: fit 8; tighten 7, 8", "b-back: inspect 8\na-back: fit hood; fit 1; tighten 1\nlate: fit 8; tighten 7; tighten 8 |"},
		{"another step does one of them", "b-back: inspect 8\nlate after=a-back: tighten 7", "b-back: inspect 8; fit 8; tighten 8\na-back: fit hood; fit 1; tighten 1\nlate: tighten 7 |"},
		{"it stands elsewhere", "b-back after=a-back: ", "a-back: fit hood; fit 1; tighten 1\nb-back: fit 8; tighten 7; tighten 8 |"},
	}
	for _, test := range tests {
		out := state.Run(statetest.Job(mixer, steps))
		if got := written(jobBack(t, out, Additions{Steps: own(out.Job.Machine, test.own)})); got != test.want {
			t.Errorf("%s: the refitting is\n%s\nwant\n%s", test.name, got, test.want)
		}
	}
}

// TestInheritedWords: what the author writes stands, and the derived step says the rest.
func TestInheritedWords(t *testing.T) {
	out := state.Run(statetest.Job(mixer, "a needs=dead people=2: caution hood; remove 1; remove hood"))
	words := func(s string) procedure.Block {
		return &procedure.Instruction{Prose: procedure.Words(text.Span{}, s)}
	}
	point := &procedure.KeyPoint{}
	for _, c := range []struct {
		name   string
		blocks []procedure.Block
		unsaid procedure.Unsaid
		want   string
	}{
		{"nothing", nil, procedure.Unsaid{People: true}, "2 people: caution hood, fit hood, fit 1, tighten 1, hold Before return to service"},
		{"words and a point", []procedure.Block{words("Hang it on."), point}, procedure.Unsaid{}, "1 people: caution hood, Hang it on., fit hood, fit 1, tighten 1, point, hold Before return to service"},
		{"an open caution", []procedure.Block{&procedure.Caution{FindAbout: true}, words("Hang it on.")}, procedure.Unsaid{}, "1 people: caution hood, Hang it on., fit hood, fit 1, tighten 1, hold Before return to service"},
		{"a caution about nothing", []procedure.Block{&procedure.Caution{}}, procedure.Unsaid{}, "1 people: caution, fit hood, fit 1, tighten 1, hold Before return to service"},
		{"a hold point", []procedure.Block{words("Hang it on."), &procedure.Hold{Title: "mine"}}, procedure.Unsaid{}, "1 people: caution hood, Hang it on., fit hood, fit 1, tighten 1, hold mine"},
	} {
		s := &procedure.Step{ID: "a-back", Title: "On", People: 1, Unsaid: c.unsaid, Blocks: c.blocks}
		got := shape(jobBack(t, out, Additions{Steps: []*procedure.Step{s}}).Steps[0])
		if got != c.want {
			t.Errorf("%s: the step has\n%s\nwant\n%s", c.name, got, c.want)
		}
	}
}

// shape is what a step has, piece by piece.
func shape(s *procedure.Step) string {
	var out []string
	for _, b := range s.Blocks {
		switch shown := b.Shows(); {
		case shown.Warning != nil:
			words := "caution"
			for _, r := range shown.Warning.About {
				words += " " + r.ID
			}
			out = append(out, words)
		case shown.Text != nil:
			out = append(out, shown.Text.Plain())
		case shown.Point != nil:
			out = append(out, "point")
		case shown.Hold != nil:
			out = append(out, "hold "+shown.Hold.Title)
		}
		for _, a := range b.Shows().Actions {
			out = append(out, string(a.Verb)+" "+a.Object.ID)
		}
	}
	return fmt.Sprintf("%d people: %s", s.People, strings.Join(out, ", "))
}

// TestNamesInTitles: a name stands in a title as in a sentence, in English and in German.
func TestNamesInTitles(t *testing.T) {
	german := func(key string, args ...any) string {
		return strings.NewReplacer("{0}", fmt.Sprint(args[0])).Replace(map[string]string{"refit.named": "{0}"}[key])
	}
	for _, c := range []struct {
		words      Words
		name, want string
	}{
		{english(t), "Right foot", "the right foot"},
		{english(t), "V-belt", "the V-belt"},
		{english(t), "8", "8"},
		{german, "Rechter Fuß", "Rechten Fuß"},
		{german, "Rechte Haube", "Rechte Haube"},
		{german, "Motor", "Motor"},
		{german, "Lüfter hinten", "Lüfter hinten"},
	} {
		if got := (&derivation{words: c.words}).named(c.name); got != c.want {
			t.Errorf("%s stands in a title as %q, want %q", c.name, got, c.want)
		}
	}
}

// TestProofInTheWordsOfTheRemoval: a proof is the same each time, so the way back says how it is done; what else was done in its step stays out.
func TestProofInTheWordsOfTheRemoval(t *testing.T) {
	say := func(s string) procedure.Block {
		return &procedure.Instruction{Prose: procedure.Words(text.Span{}, s)}
	}
	for _, c := range []struct{ steps, want string }{
		{"a: establish stopped; establish isolated; verify isolated; establish dead; verify dead\nb: loosen 7",
			"verify isolated, verify dead, point, hold Before any work"},
		{"a: establish stopped; establish isolated; verify isolated; loosen 7", "verify isolated"},
	} {
		j := statetest.Job(mixer, c.steps)
		s := j.Steps[0]
		s.Blocks = append(append([]procedure.Block{say("Press the start button.")}, s.Blocks...), &procedure.KeyPoint{},
			&procedure.Hold{Title: "Mine", Confirmations: []procedure.Prose{procedure.Words(text.Span{}, "Nothing moved")}})
		got := shape(jobBack(t, state.Run(j), Additions{}).Steps[0])
		if got = got[strings.Index(got, "verify"):]; got != c.want {
			t.Errorf("%s: the proof has\n%s\nwant\n%s", c.steps, got, c.want)
		}
	}
	j := statetest.Job(mixer, "a: establish stopped; establish isolated\nb: verify isolated; establish dead; verify dead\nc: loosen 7")
	s := j.Steps[1]
	s.Blocks = append([]procedure.Block{say("Press the start button.")}, s.Blocks...)
	if got := shape(jobBack(t, state.Run(j), Additions{}).Steps[0]); !strings.Contains(got, "Press the start button., verify isolated, verify dead") {
		t.Errorf("the words in front of the proof are not there: %s", got)
	}
}

// TestDiffers: a step that says only what differs keeps the acts, cautions, key points and hold point that it does not name.
func TestDiffers(t *testing.T) {
	out := state.Run(statetest.Job(mixer, "a needs=dead people=2: caution hood; remove 1; remove hood"))
	machine := out.Job.Machine
	words := func(s string) procedure.Block {
		return &procedure.Instruction{Prose: procedure.Words(text.Span{}, s)}
	}
	acts := func(s string) procedure.Block { return own(machine, "x: "+s)[0].Blocks[0] }
	point := &procedure.KeyPoint{}
	const hold = ", hold Before return to service"
	for _, c := range []struct {
		name   string
		blocks []procedure.Block
		want   string
	}{
		{"nothing", nil, "caution hood, fit hood, fit 1, tighten 1" + hold},
		{"words before all", []procedure.Block{words("Hang it on.")}, "caution hood, Hang it on., fit hood, fit 1, tighten 1" + hold},
		{"words before an act that is named", []procedure.Block{words("Turn it in."), acts("fit 1")}, "caution hood, fit hood, Turn it in., fit 1, tighten 1" + hold},
		{"words behind an act", []procedure.Block{words("Hang it on."), acts("fit hood"), words("Turn it in."), point}, "caution hood, Hang it on., fit hood, Turn it in., fit 1, tighten 1, point" + hold},
		{"another order", []procedure.Block{acts("tighten 1"), acts("fit hood")}, "caution hood, tighten 1, fit hood, fit 1" + hold},
		{"an act more", []procedure.Block{words("Wipe it."), acts("clean hood"), words("Hang it on."), acts("fit hood")}, "caution hood, Wipe it., clean hood, Hang it on., fit hood, fit 1, tighten 1" + hold},
		{"a caution", []procedure.Block{&procedure.Caution{FindAbout: true}, acts("fit hood")}, "caution hood, fit hood, fit 1, tighten 1" + hold},
		{"a hold point", []procedure.Block{&procedure.Hold{Title: "mine"}}, "caution hood, fit hood, fit 1, tighten 1, hold mine"},
	} {
		s := &procedure.Step{ID: "a-back", People: 1, Unsaid: procedure.Unsaid{People: true}, Differs: true, Blocks: c.blocks}
		back := jobBack(t, out, Additions{Steps: []*procedure.Step{s}}).Steps[0]
		if got, want := shape(back), "2 people: "+c.want; got != want {
			t.Errorf("%s: the step has\n%s\nwant\n%s", c.name, got, want)
		}
		if back.Title == "" {
			t.Errorf("%s: the step has no title", c.name)
		}
	}
}
