package quizpage

import (
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/output"
	"matchmark/compile/pagetest"
	"matchmark/compile/picture"
	"matchmark/procedure"
	"matchmark/procedure/measure"
	tree "matchmark/procedure/prose"
	"matchmark/procedure/state/statetest"
	"matchmark/procedure/text"
	"matchmark/themes"
)

// library is a quiz by hand, with one question of each kind.
func library() *procedure.Library {
	m := &procedure.Machine{
		ID: "mixer", Title: "Dough mixer",
		Variants:  []*procedure.Variant{{Row: row("belt", "Belt drive")}, {Row: row("chain", "Chain drive")}},
		Parts:     []*procedure.Part{{Row: row("gearbox", "drive gearbox"), Letter: "G"}},
		Fasteners: []*procedure.Fastener{{Row: row("4", "front bolt"), Number: 4}, {Row: row("6", "rear bolt"), Number: 6}},
		Figures: []*procedure.Figure{{ID: "feet", Title: "The feet", Source: "figures/feet.svg", Describe: "Two feet on a frame.", Balloons: []procedure.Balloon{
			balloon("4", 20, 20), balloon("6", 180, 20), balloon("gearbox", 100, 90),
		}}},
	}
	m.Index()
	p := &procedure.Procedure{ID: "out", Title: "Take the gearbox out", Edition: "2", Machine: m, Steps: []*procedure.Step{
		{ID: "bolts", Title: "Undo the bolts"}, {ID: "chain-off", Title: "Take the chain off", Variants: []procedure.Ref{{ID: "chain"}}},
	}}
	q := &procedure.Quiz{
		ID: "mixer-quiz", Title: "What you must know", Procedure: p, Pass: 80, Seed: 7, Tries: 2,
		File: text.NewFile("quizzes/mixer-quiz.md", []byte("the source")),
		Questions: []*procedure.Question{
			{ID: "why", Kind: procedure.SingleChoice, Stem: prose("Why does it stay in?"), Points: 2, Critical: true, Step: procedure.Ref{ID: "bolts"}, Why: prose("It is the last holder."), Choices: []procedure.Choice{
				{Prose: procedure.Prose{Nodes: []tree.Node{
					{Kind: tree.Paragraph, Inside: 4}, {Kind: tree.Text, Text: "It "},
					{Kind: tree.Emphasis, Inside: 1}, {Kind: tree.Text, Text: "carries"}, {Kind: tree.Text, Text: " the gearbox."},
				}}, Right: true, Feedback: prose("Yes: nothing else does.")},
				{Prose: prose("It is tight."), Feedback: prose("No: tightness is no reason.")},
				{Prose: prose("Nobody knows.")},
			}},
			{ID: "which", Kind: procedure.SeveralChoice, Stem: prose("What comes first?"), Points: 1, Choices: []procedure.Choice{
				{Prose: prose("Isolate"), Right: true}, {Prose: prose("Lift")}, {Prose: prose("Prove dead"), Right: true},
			}},
			{ID: "tight", Kind: procedure.TrueFalse, Stem: prose("The chain is under tension."), Points: 1, True: false, Step: procedure.Ref{ID: "chain-off"}},
			{ID: "torque", Kind: procedure.NumberAnswer, Stem: prose("How tight?"), Points: 1, Number: measure.Must("45.5 N·m"), Tolerance: measure.Must("2 N·m")},
			{ID: "tilt", Kind: procedure.NumberAnswer, Stem: prose("How steep?"), Points: 1, Number: measure.Must("60 deg")},
			{ID: "sequence", Kind: procedure.OrderAnswer, Stem: prose("In which order?"), Points: 1, Choices: []procedure.Choice{
				{Prose: prose("Drain")}, {Prose: prose("Support")}, {Prose: prose("Lift")},
			}},
			{ID: "where", Kind: procedure.PointAnswer, Stem: prose("Where is the rear bolt?"), Points: 1, Figure: procedure.Ref{ID: "feet"}, Target: procedure.Ref{ID: "6"}},
		},
	}
	return &procedure.Library{Title: "Workshop", Language: "en", Machines: []*procedure.Machine{m}, Procedures: []*procedure.Procedure{p}, Quizzes: []*procedure.Quiz{q}}
}

var row, prose = statetest.Row, statetest.Prose

func balloon(id string, x, y float64) procedure.Balloon {
	return procedure.Balloon{Ref: procedure.Ref{ID: id}, Label: procedure.Point{X: x, Y: y}, Targets: []procedure.Point{{X: x, Y: 50}}}
}

func emitTo(lib *procedure.Library, out output.Sink) error {
	theme, err := themes.Load()
	if err != nil {
		return err
	}
	pictures := map[string]*picture.Picture{"figures/feet.svg": {Source: "figures/feet.svg", Width: 200, Height: 100, Sizes: []picture.Size{{Path: "pictures/feet.svg"}}}}
	for _, q := range lib.Quizzes {
		if err := EmitQuiz(lib, pictures, theme, out, q); err != nil {
			return err
		}
	}
	return nil
}

func pages(t *testing.T, lib *procedure.Library) map[string]*pagetest.Element {
	t.Helper()
	var out output.Memory
	assert.NilError(t, emitTo(lib, &out))
	parsed := map[string]*pagetest.Element{}
	for at, content := range out.Files() {
		p := pagetest.Parse(t, content)
		parsed[at] = p
	}
	return parsed
}
