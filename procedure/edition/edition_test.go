package edition

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/source"
	"matchmark/procedure/text"
)

const machineFile = `---
kind: machine
id: m
title: Mixer
---
::: register parts "Parts"
| id | name | mass | base |
|---|---|---|---|
| frame | Frame | | yes |
| hood | Hood | 6 kg | |
:::
::: register fasteners "Fasteners"
| no | name | kind | thread | count | torque | no-torque | joins |
|---|---|---|---|---|---|---|---|
| 1 | Hood screw | bolt | M8 | 4 | 20 N·m | | hood, frame |
| 2 | Cover screw | bolt | M6 | 2 | | by hand | hood, frame |
:::
::: register supports "Supports"
| id | name | kind | capacity |
|---|---|---|---|
| hoist | Chain hoist | hoist | 250 kg |
:::
::: register tools "Tools"
| id | name | kind | quantity | single |
|---|---|---|---|---|
| ratchet | Ratchet | tool | 1 pcs | |
| torch | Torch | tool | 1 pcs | |
| film | Film | consumable | 2 m | |
:::
`

const procedureFile = `---
kind: procedure
id: p
title: Hood off
machine: m
edition: "1"
aims:
  - Take the hood off
---
One person does it.

::: step look "Look" {time=2/3/5 tools="torch"}
Look at the hood.
:::
::: step screws "Undo the screws" {time=4/6/10 tools="ratchet" after=look}
::: caution warning {about=1}
The hood can drop when its last screw comes out.
:::
Undo the four screws. Keep one hand on the hood.
::: fasteners
- remove 1
:::
::: key-point "Count the screws"
One that is missing lies in the dough.
:::
::: hold "Before the lift" {signature=trainer}
- The floor is clear
- My helper is ready
:::
:::
::: step lift "Lift the hood" {time=3/4/6}
::: actions
- lift hood with hoist
:::
::: tip
Hum a song.
:::
:::
::: step wrap "Wrap it" {time=1/2/3 tools="film"}
::: caution notice
Film is slippery.
:::
Wrap the hood.
:::
`

// edited reads the two files with some words replaced: pairs of what stands there and what takes its place.
func edited(t *testing.T, pairs ...string) *procedure.Procedure {
	t.Helper()
	files := []string{machineFile, procedureFile}
	for i := 0; i < len(pairs); i += 2 {
		found := false
		for k := range files {
			if strings.Contains(files[k], pairs[i]) {
				files[k], found = strings.Replace(files[k], pairs[i], pairs[i+1], 1), true
			}
		}
		if !found {
			t.Fatalf("%q is not there to be replaced", pairs[i])
		}
	}
	var log diagnostic.Log
	read, err := source.Read(fstest.MapFS{"m.md": {Data: []byte(files[0])}, "p.md": {Data: []byte(files[1])}}, &log)
	assert.NilError(t, err)
	lib := read.Resolve(&log)
	if log.HasErrors() || len(lib.Procedures) != 1 {
		t.Fatalf("%+v", log.Sorted())
	}
	return lib.Procedures[0]
}

func list(c []Change) string {
	var out []string
	for _, x := range c {
		switch {
		case x.Gone != nil || x.Come != nil || x.Reordered:
			s := fmt.Sprintf("%s -%q +%q", x.What, x.Gone, x.Come)
			if x.Reordered {
				s += " reordered"
			}
			out = append(out, s)
		case x.Unseen:
			out = append(out, x.What+" unseen")
		default:
			out = append(out, fmt.Sprintf("%s %q>%q", x.What, x.Old, x.New))
		}
	}
	return strings.Join(out, "; ")
}

func stepName(s *procedure.Step) string {
	if s == nil {
		return "-"
	}
	return s.ID
}

// told writes a comparison, one line for each thing that changed.
func told(c Comparison) string {
	var out []string
	add := func(format string, args ...any) { out = append(out, strings.TrimSpace(fmt.Sprintf(format, args...))) }
	if len(c.Head) > 0 {
		add("head %s", list(c.Head))
	}
	for _, s := range c.Steps {
		moved := ""
		if s.Moved {
			moved = fmt.Sprintf(" moved from after %s to after %s", stepName(s.OldAfter), stepName(s.NewAfter))
		}
		add("step %s %s%s %s", s.Either().ID, s.Kind, moved, list(s.Changes))
	}
	for _, x := range c.Rows {
		var steps []string
		for _, s := range x.Steps {
			steps = append(steps, s.ID)
		}
		switch x.Register {
		case procedure.ToolRegister, procedure.SupportRegister:
			add("tool %s (%s) %s in %v %s", x.ID, x.Name, x.Kind, steps, list(x.Changes))
		case procedure.FastenerRegister:
			add("fastener %s %s torque %v %s", x.ID, x.Kind, x.Torque, list(x.Changes))
		default:
			add("%s %s (%s) %s %s", x.Register, x.ID, x.Name, x.Kind, list(x.Changes))
		}
	}
	for _, f := range c.Figures {
		for _, e := range f.Entries {
			add("%s %s (%s) %s %s", f.What, e.ID, e.Name, e.Kind, list(e.Changes))
		}
	}
	for _, h := range c.Hazards {
		add("hazard %s %s>%s %q>%q", h.Kind, stepName(h.OldStep), stepName(h.NewStep), h.OldText, h.NewText)
	}
	for _, h := range c.Holds {
		add("hold %s %s %s", h.Step.ID, h.Kind, list(h.Changes))
	}
	return strings.Join(out, "\n")
}

func TestCompare(t *testing.T) {
	for _, test := range []struct {
		name  string
		pairs []string
		want  string
	}{
		{"nothing", nil, ""},
		{"only the edition's name", []string{`edition: "1"`, `edition: "2"`}, ""},
		{"head", []string{"title: Hood off", "title: Hood away", "  - Take the hood off\n", "  - Take the hood off\n  - Count\n", "One person does it.", "Two do it."},
			`head title "Hood off">"Hood away"; aims -[] +["Count"]; introduction -["One person does it."] +["Two do it."]`},
		{"attributes", []string{"time=4/6/10 tools=\"ratchet\" after=look", "time=5 people=2 tools=\"torch\" safe-stop"},
			"step screws changed time \"4/6/10\">\"5\"; people \"1\">\"2\"; tools -[\"Ratchet\"] +[\"Torch\"]; after -[\"Look\"] +[]; safe-stop \"\">\"yes\"\n" +
				"tool ratchet (Ratchet) removed in [screws]"},
		{"text and blocks", []string{"Keep one hand on the hood.", "Hold it.", "- lift hood with hoist", "- support hood with hoist\n- lift hood with hoist", "Hum a song.", "Sing.", "lies in the dough", "is in the dough"},
			"step screws changed text -[\"Undo the four screws. Keep one hand on the hood.\"] +[\"Undo the four screws. Hold it.\"]; key-point -[\"One that is missing lies in the dough.\"] +[\"One that is missing is in the dough.\"]\n" +
				"step lift changed actions -[] +[\"support Hood with Chain hoist\"]; tip -[\"Hum a song.\"] +[\"Sing.\"]"},
		{"inspections", []string{"Wrap the hood.", "Wrap the hood.\n::: inspect {of=hood}\n- Edge: no cracks\n:::"},
			"step wrap changed inspect -[] +[\"Edge: no cracks\"]; of -[] +[\"Hood\"]"},
		{"a step that is new", []string{"::: step lift", "::: step sling \"Sling it\" {time=2}\n::: actions\n- support hood with hoist\n:::\n:::\n::: step lift"},
			"step sling added"},
		{"a step that is gone", []string{"::: step look \"Look\" {time=2/3/5 tools=\"torch\"}\nLook at the hood.\n:::\n", "", " after=look", ""},
			"step look removed\nstep screws changed after -[\"Look\"] +[]\ntool torch (Torch) removed in [look]"},
		{"tools and supports", []string{"| ratchet | Ratchet | tool | 1 pcs | |", "| ratchet | Small ratchet | tool | 2 pcs | yes |", "| 250 kg |", "| 0.2 t |"},
			"tool hoist (Chain hoist) changed in [lift] capacity \"250 kg\">\"0.2 t\"\n" +
				"tool ratchet (Small ratchet) changed in [screws] name \"Ratchet\">\"Small ratchet\"; quantity \"1 pcs\">\"2 pcs\"; single \"\">\"yes\""},
		{"one quantity in two units, as the pages show it", []string{"| 250 kg |", "| 0.25 t |"}, "tool hoist (Chain hoist) changed in [lift] capacity \"250 kg\">\"0.25 t\""},
		{"hold points", []string{"{signature=trainer}\n- The floor is clear\n- My helper is ready", "{safe-stop}\n- My helper is ready\n- The floor is clear\n- The hoist is on"},
			"hold screws changed confirmations -[] +[\"The hoist is on\"] reordered; signature \"trainer\">\"\"; safe-stop \"\">\"yes\""},
		{"a hold point that is gone", []string{"::: hold \"Before the lift\" {signature=trainer}\n- The floor is clear\n- My helper is ready\n:::\n", ""}, "hold screws removed"},
		{"fasteners", []string{"| 4 | 20 N·m |", "| 4 | 25 N·m |", "| 2 | Cover screw | bolt | M6 |", "| 2 | Cover screw | bolt | M5 |"},
			"fastener 1 changed torque true torque \"20 N·m\">\"25 N·m\""}, // nothing turns fastener 2
		{"a fastener's count", []string{"| M8 | 4 |", "| M8 | 6 |"}, "fastener 1 changed torque false count \"4\">\"6\""},
		{"a fastener with another number", []string{"| 1 | Hood screw", "| 3 | Hood screw", "{about=1}", "{about=3}", "- remove 1", "- remove 3"},
			"step screws changed fasteners -[\"remove 1\"] +[\"remove 3\"]\nfastener 3 added torque false\nfastener 1 removed torque false\n" +
				"hazard reworded screws>screws \"The hood can drop when its last screw comes out.\">\"The hood can drop when its last screw comes out.\""},
	} {
		c := Compare(edited(t), edited(t, test.pairs...))
		if got := told(c); got != test.want {
			t.Errorf("%s:\n%s\nwant\n%s", test.name, got, test.want)
		}
		if c.Same != (test.want == "") || c.NotRaised != (test.want != "") {
			t.Errorf("%s: same %v, not raised %v", test.name, c.Same, c.NotRaised)
		}
	}
}

func TestRaisedEdition(t *testing.T) {
	if c := Compare(edited(t), edited(t, `edition: "1"`, `edition: "2"`, "time=2/3/5", "time=2/3/4")); c.Same || c.NotRaised {
		t.Errorf("%+v", c)
	}
}

func TestHazards(t *testing.T) {
	const drop, film = "The hood can drop when its last screw comes out.", "Film is slippery."
	for _, test := range []struct {
		name  string
		pairs []string
		want  string
	}{
		{"raised", []string{"caution warning", "caution danger"}, fmt.Sprintf("hazard raised screws>screws %q>%q", drop, drop)},
		{"lowered, with new words", []string{"caution warning {about=1}\nThe hood can drop when its last screw comes out.", "caution notice {about=1}\nMind the hood."},
			fmt.Sprintf("hazard lowered screws>screws %q>%q", drop, "Mind the hood.")},
		{"new words, by the words that stay", []string{" {about=1}\nThe hood can drop when its last", "\nThe hood drops when the last"},
			fmt.Sprintf("hazard reworded screws>screws %q>%q", drop, "The hood drops when the last screw comes out.")},
		{"others instead", []string{" {about=1}\nThe hood can drop when its last screw comes out.", "\nEdges cut."},
			fmt.Sprintf("hazard removed screws>- %q>\"\"\nhazard added ->screws \"\">\"Edges cut.\"", drop)},
		{"moved, the more severe first", []string{"::: caution warning {about=1}\n" + drop + "\n:::\n", "", "Look at the hood.", "::: caution warning {about=1}\n" + drop + "\n:::\nLook at the hood.", "caution notice", "caution caution"},
			fmt.Sprintf("hazard moved screws>look %q>%q\nhazard raised wrap>wrap %q>%q", drop, drop, film, film)},
	} {
		c := Compare(edited(t), edited(t, test.pairs...))
		c.Steps = nil
		if got := told(c); got != test.want {
			t.Errorf("%s:\n%s\nwant\n%s", test.name, got, test.want)
		}
	}
}

func TestMovedSteps(t *testing.T) {
	order := func(ids string) *procedure.Procedure {
		p := &procedure.Procedure{}
		for _, id := range strings.Fields(ids) {
			p.Steps = append(p.Steps, &procedure.Step{ID: id, Title: id})
		}
		return p
	}
	for _, test := range []struct{ old, now, want string }{
		{"a b c d", "a b c d", ""},
		{"a b c d", "b c d a", "step a changed moved from after - to after d"},
		{"a b c d", "d a b c", "step d changed moved from after c to after -"},
		{"a b c d", "a x d b c", "step x added\nstep d changed moved from after c to after x"},
		{"a b c d", "b d", "step a removed\nstep c removed"},
		{"a b c d", "d c", "step a removed\nstep b removed\nstep c changed moved from after b to after d"},
		{"a b", "x y", "step a removed\nstep b removed\nstep x added\nstep y added"},
	} {
		if got := told(Compare(order(test.old), order(test.now))); got != test.want {
			t.Errorf("%s to %s:\n%s\nwant\n%s", test.old, test.now, got, test.want)
		}
	}
}

func TestTotals(t *testing.T) {
	step := func(minutes float64, variants ...string) *procedure.Step {
		s := &procedure.Step{ID: fmt.Sprint(minutes, variants), Time: procedure.Estimate{Optimistic: minutes - 3, Likely: minutes, Pessimistic: minutes + 3}}
		for _, v := range variants {
			s.Variants = append(s.Variants, procedure.Ref{ID: v})
		}
		return s
	}
	machine := func(variants ...string) *procedure.Machine {
		m := &procedure.Machine{}
		for _, v := range variants {
			m.Variants = append(m.Variants, &procedure.Variant{Row: procedure.Row{ID: v}})
		}
		m.Index()
		return m
	}
	old := &procedure.Procedure{Machine: machine("belt", "gear"), Steps: []*procedure.Step{step(10), step(20, "belt")}}
	now := &procedure.Procedure{Machine: machine("chain", "belt"), Steps: []*procedure.Step{step(10), step(25, "belt"), step(5, "chain")}}
	var got []string
	for _, x := range Compare(old, now).Totals {
		got = append(got, fmt.Sprintf("%s %s %g %g %g", x.Variant.ID, x.Kind, x.Old, x.New, x.Difference))
		if x.Variant.ID == "belt" && (math.Abs(x.OldDeviation-math.Sqrt2) > 1e-9 || math.Abs(x.NewDeviation-math.Sqrt2) > 1e-9) {
			t.Errorf("%+v", x)
		}
	}
	if want := "chain added 0 15 0; belt  30 35 5; gear removed 10 0 0"; strings.Join(got, "; ") != want {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestTimeOfSteps(t *testing.T) {
	c := Compare(edited(t), edited(t, "time=4/6/10", "time=4/9/10", "::: step lift", "::: step rest \"Rest\" {time=7}\nRest.\n:::\n::: step lift"))
	if len(c.Steps) != 2 || math.Abs(c.Steps[0].Difference-2) > 1e-9 || c.Steps[1].NewTime != 7 || c.Steps[1].Difference != 7 {
		t.Errorf("%+v", c.Steps)
	}
	if len(c.Totals) != 1 || math.Abs(c.Totals[0].Difference-9) > 1e-9 {
		t.Errorf("%+v", c.Totals)
	}
}

// What only one variant's blocks say is marked with the variant.
func TestBlocksOfVariants(t *testing.T) {
	p := func(words string) *procedure.Procedure {
		b := &procedure.Instruction{Common: procedure.Common{Variants: []procedure.Ref{{ID: "belt"}, {ID: "chain"}}}, Prose: procedure.Words(text.Span{}, words)}
		return &procedure.Procedure{Steps: []*procedure.Step{{ID: "a", Blocks: []procedure.Block{b}}}}
	}
	if got := told(Compare(p("Pull."), p("Push."))); got != `step a changed text -["Pull. (belt, chain)"] +["Push. (belt, chain)"]` {
		t.Error(got)
	}
}
