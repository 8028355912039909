package site

import (
	"errors"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/output"
	"matchmark/compile/pagetest"
	"matchmark/compile/picture"
	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/measure"
	tree "matchmark/procedure/prose"
	"matchmark/procedure/state/statetest"
	"matchmark/themes"
)

// library is a mixer by hand: two variants, a figure, and a gearbox that comes
// out in four steps (three on each variant) with a hold point before the lift.
func library() *procedure.Library {
	m := &procedure.Machine{
		ID: "mixer", Title: "Dough mixer", Summary: "A floor mixer.", About: procedure.Prose{Nodes: []tree.Node{
			{Kind: tree.Paragraph, Inside: 4}, {Kind: tree.Text, Text: "It "},
			{Kind: tree.Emphasis, Inside: 1}, {Kind: tree.Text, Text: "kneads"}, {Kind: tree.Text, Text: "."},
		}},
		RegisterTitles: map[procedure.RegisterKind]string{procedure.VariantRegister: "Drives"},
		Variants:       []*procedure.Variant{{Row: row("belt", "Belt drive")}, {Row: row("chain", "Chain drive")}},
		Parts: []*procedure.Part{
			{Row: row("gearbox", "Drive gearbox"), Letter: "G", Mass: measure.Must("64 kg"), Stand: "on the pallet, chocked"},
			{Row: row("left-foot", "Left foot"), Mass: measure.Must("3400 g"), Twin: ref("right-foot"), Mark: "L across the seam"},
			{Row: row("right-foot", "Right foot"), Mass: measure.Must("3.5 kg"), Twin: ref("left-foot")},
		},
		Fasteners: []*procedure.Fastener{
			{Row: row("4", "Front foot bolt"), Number: 4, Kind: procedure.Bolt, Thread: "M12x1.25", Hand: procedure.LeftHand, Length: measure.Must("40 mm"), Class: "8.8", Drive: "hex 18 mm", Count: 2, Torque: measure.Must("80 N·m"), Bag: "Bag 3", SingleUse: true},
			{Row: row("6", "Rear bolt"), Number: 6, Kind: procedure.Bolt, Thread: "M16", Drive: "hex 24 mm", Count: 1, Torque: measure.Must("190 N·m")},
			{Row: row("9", "Hood screw"), Number: 9, Kind: procedure.Screw, Thread: "M8", NoTorque: "by hand"},
		},
		Connections: []*procedure.Connection{{Row: row("belts", "V-belts"), Stand: "on the wide peg", Mark: "running direction"}},
		Fluids:      []*procedure.Fluid{{Row: row("oil", "Gear oil"), Quantity: measure.Must("2.5 L"), Drain: "plug 7", Hazard: "slippery", Waste: "used-oil drum"}},
		Supports: []*procedure.Support{
			{Row: row("hoist", "Chain hoist"), Capacity: measure.Must("250 kg")},
			{Row: row("sling", "Chain sling"), Capacity: measure.Must("400 kg")},
		},
		Conditions: []*procedure.Condition{{Row: row("dead", "Proved dead")}},
		Tools: []*procedure.Tool{
			{Row: row("spanner", "Spanner 18 mm"), Kind: procedure.HandTool, Quantity: measure.Must("1 pcs")},
			{Row: row("tray", "Drip tray"), Kind: procedure.Container, Quantity: measure.Must("10 L")},
			{Row: row("grease", "Grease"), Kind: procedure.Consumable},
			{Row: row("drawing", "Drawing"), Kind: procedure.Document, Revision: "C"},
			{Row: row("gloves", "Gloves"), Kind: procedure.Protection, Quantity: measure.Must("2 pcs")},
		},
		Figures: []*procedure.Figure{{
			ID: "feet", Title: "The feet", Source: "figures/feet.svg", Describe: "Two feet on a frame.",
			Balloons: []procedure.Balloon{balloon("4", 100, 100, 200, 100), balloon("6", 700, 100, 600, 100), balloon("9", 400, 500, 400, 300), balloon("gearbox", 400, 60, 400, 200)},
		}},
	}
	m.Index()
	p := &procedure.Procedure{
		ID: "out", Title: "Take the gearbox out", Summary: "Onto its pallet.", Edition: "2", Machine: m,
		Aims: []string{"Lift without haste"},
		Steps: []*procedure.Step{
			{
				ID: "feet-off", Title: "Undo the <front> feet", Time: procedure.Estimate{Optimistic: 4, Likely: 6, Pessimistic: 14}, People: 1,
				Tools: refs("spanner", "grease", "drawing"), Consumed: refs("grease"), Amounts: []measure.Quantity{measure.Must("15 g")}, Needs: refs("dead"), Figure: ref("feet"), SafeStop: true,
				Blocks: []procedure.Block{
					&procedure.Caution{Signal: procedure.Danger, Prose: prose("It can drop.")},
					&procedure.Instruction{Prose: prose("Undo the two front bolts.")},
					&procedure.Callout{Figure: ref("feet"), Actions: []*procedure.Action{
						{Verb: procedure.Loosen, Object: ref("4")}, {Verb: procedure.Remove, Object: ref("4")},
						{Verb: procedure.Keep, Object: ref("6"), Reason: prose("it carries the gearbox")},
					}},
					&procedure.Caution{Signal: procedure.Notice, Prose: prose("Oil stains.")},
					&procedure.ActionList{Actions: []*procedure.Action{
						{Verb: procedure.Drain, Object: ref("oil"), With: refs("tray")},
						{Verb: procedure.Remove, Object: ref("left-foot")},
						{Verb: procedure.Verify, Object: ref("dead")},
					}},
					&procedure.Tip{Prose: prose("Tag each foot.")},
				},
			},
			{
				ID: "belts-off", Title: "Take the belts off", Time: procedure.Estimate{Optimistic: 3, Likely: 3, Pessimistic: 3}, People: 1, Variants: refs("belt"),
				Blocks: []procedure.Block{
					&procedure.ActionList{Actions: []*procedure.Action{{Verb: procedure.Disconnect, Object: ref("belts")}}},
					&procedure.KeyPoint{Point: "By hand", Reason: prose("A lever nicks the groove.")},
				},
			},
			{
				ID: "hoist-on", Title: "Put the hoist on", Time: procedure.Estimate{Optimistic: 5, Likely: 8, Pessimistic: 11}, People: 2,
				Blocks: []procedure.Block{
					&procedure.ActionList{Actions: []*procedure.Action{{Verb: procedure.Hang, Object: ref("gearbox"), With: refs("hoist", "sling")}}},
					&procedure.Inspection{Of: ref("gearbox"), Items: []procedure.InspectionItem{{Look: "Eyes", Accept: prose("no cracks")}}},
					&procedure.Hold{Title: "Before the lift", Confirmations: []procedure.Prose{prose("Floor is clear"), prose("Hook is shut")}, Signature: "trainer", SafeStop: true},
				},
			},
			{
				ID: "lift", Title: "Lift it out", Time: procedure.Estimate{Optimistic: 6, Likely: 9, Pessimistic: 12}, People: 2,
				Blocks: []procedure.Block{
					&procedure.Caution{Signal: procedure.WarningWord, Prose: prose("Nobody under the load.")},
					&procedure.Caution{Signal: procedure.CautionWord, Prose: prose("Mind your fingers.")},
					&procedure.ActionList{Actions: []*procedure.Action{
						{Verb: procedure.Lift, Object: ref("gearbox"), With: refs("hoist")}, {Verb: procedure.SetDown, Object: ref("gearbox")},
					}},
				},
			},
		},
	}
	q := &procedure.Quiz{ID: "quiz", Title: "What you must know", Procedure: p, Questions: []*procedure.Question{{ID: "a"}}}
	return &procedure.Library{
		Title: "Workshop", Language: "en",
		Machines: []*procedure.Machine{m}, Procedures: []*procedure.Procedure{p}, Quizzes: []*procedure.Quiz{q},
		Courses: []*procedure.Course{{ID: "course", Title: "Gearboxes", Pace: procedure.UsualPace(), Sessions: []procedure.Session{
			{Title: "Out", Items: []procedure.CourseItem{{Procedure: p, From: ref("hoist-on"), To: ref("lift")}, {Quiz: q}}},
		}}},
	}
}

var row, ref, refs, prose = statetest.Row, statetest.Ref, statetest.Refs, statetest.Prose

func balloon(id string, x, y, toX, toY float64) procedure.Balloon {
	return procedure.Balloon{Ref: ref(id), Label: procedure.Point{X: x, Y: y}, Targets: []procedure.Point{{X: toX, Y: toY}}}
}

// emitOverall writes the pages on a library as a whole.
func emitOverall(lib *procedure.Library, theme *themes.Theme, out output.Sink) error {
	w, err := NewIndex(lib, theme)
	if err != nil {
		return err
	}
	_, _, _, err = w.Update([]Change{{Now: func() *procedure.Library { return lib }}}, nil, out)
	return err
}

// emitWith writes all pages of the site.
func emitWith(lib *procedure.Library, pictures map[string]*picture.Picture, theme *themes.Theme, out output.Sink) error {
	errs := []error{EmitAssets(lib, theme, out), emitOverall(lib, theme, out)}
	for _, c := range lib.Courses {
		errs = append(errs, EmitCourse(lib, theme, out, c))
	}
	if lib.Glossary != nil {
		errs = append(errs, EmitGlossary(lib, theme, out, lib.Glossary))
	}
	for _, m := range lib.Machines {
		errs = append(errs, EmitMachine(lib, pictures, theme, out, m))
	}
	for _, p := range lib.Procedures {
		errs = append(errs, EmitProcedure(lib, pictures, theme, out, analysis.New(p)))
	}
	return errors.Join(errs...)
}

func emitAll(t *testing.T, lib *procedure.Library) map[string][]byte {
	t.Helper()
	theme := pagetest.Theme(t)
	pictures := map[string]*picture.Picture{"figures/feet.svg": {Source: "figures/feet.svg", Width: 800, Height: 600, Sizes: []picture.Size{{Path: "pictures/feet.svg"}}}}
	var out output.Memory
	assert.NilError(t, emitWith(lib, pictures, theme, &out))
	return out.Files()
}

// one returns the only element that a selector matches.
func one(t *testing.T, e *pagetest.Element, selector string) *pagetest.Element {
	t.Helper()
	found := e.All(selector)
	if len(found) != 1 {
		t.Fatalf("%d elements match %q, want one", len(found), selector)
	}
	return found[0]
}
