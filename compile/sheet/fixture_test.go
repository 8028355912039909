package sheet

import (
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/output"
	"matchmark/compile/pagetest"
	"matchmark/compile/picture"
	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/measure"
	"matchmark/procedure/state/statetest"
)

// library is a small library by hand: one procedure of three steps on a machine of two variants.
func library() *procedure.Library {
	m := &procedure.Machine{
		ID: "mixer", Title: "Dough mixer",
		Variants: []*procedure.Variant{{Row: procedure.Row{ID: "belt", Name: "Belt drive"}}, {Row: procedure.Row{ID: "chain", Name: "Chain drive"}}},
		Parts: []*procedure.Part{
			{Row: row("gearbox", "drive gearbox"), Letter: "G", Mass: measure.Must("64 kg"), Mark: "paint across the flange", Face: "oil plug up", Stand: "pallet, hub up"},
			{Row: row("left-foot", "left foot"), Side: "left", Twin: ref("right-foot")},
			{Row: row("right-foot", "right foot"), Side: "right"},
		},
		Fasteners: []*procedure.Fastener{
			{Row: row("4", "foot bolt"), Number: 4, Kind: procedure.Bolt, Thread: "M12x1.25", Length: measure.Must("40 mm"), Drive: "hex 18 mm", Count: 2, Bag: "feet", Torque: measure.Must("82 N·m"), Tolerance: measure.Must("5 %")},
			{Row: row("5", "tab washer"), Number: 5, Kind: procedure.TabWasher, Count: 1, SingleUse: true},
			{Row: row("6", "rear bolt"), Number: 6, Kind: procedure.Bolt, Thread: "M16", Count: 1},
			{Row: row("9", "cover screw"), Number: 9, Kind: procedure.Screw, Thread: "M5", Count: 12},
		},
		Fluids:   []*procedure.Fluid{{Row: row("oil", "gear oil"), Quantity: measure.Must("2.5 L"), SingleUse: true, Waste: "used-oil drum"}},
		Supports: []*procedure.Support{{Row: row("hoist", "chain hoist"), Capacity: measure.Must("250 kg")}, {Row: row("sling", "web sling"), Legs: 2, Angle: measure.Must("60 deg")}},
		Tools: []*procedure.Tool{
			{Row: row("spanner", "ring spanner 18 mm"), Kind: procedure.HandTool, Single: true},
			{Row: row("tray", "drip tray"), Kind: procedure.Container, Quantity: measure.Must("2 L")},
			{Row: row("grease", "grease"), Kind: procedure.Consumable, Quantity: measure.Must("1 kg")},
			{Row: row("drawing", "drawing of the feet"), Kind: procedure.Document, Revision: "C"},
			{Row: row("gloves", "gloves"), Kind: procedure.Protection, Quantity: measure.Must("2 pcs")},
		},
		Figures: []*procedure.Figure{{ID: "feet", Title: "The feet", Source: "figures/feet.svg", Describe: "Two feet on a frame.", Balloons: []procedure.Balloon{
			{Ref: ref("4"), Label: procedure.Point{X: 20, Y: 20}, Targets: []procedure.Point{{X: 80, Y: 60}}},
		}}},
	}
	m.Index()
	p := &procedure.Procedure{ID: "out", Title: "Take the gearbox out", Edition: "2", Machine: m, Steps: []*procedure.Step{
		{ID: "drain", Title: "Drain the oil", Time: estimate(10), People: 1, Tools: refs("spanner", "gloves", "grease", "drawing"), Consumed: refs("grease"), Amounts: []measure.Quantity{measure.Must("15 g")}, Figure: ref("feet"), Blocks: []procedure.Block{
			&procedure.Caution{Signal: procedure.Danger, Prose: prose("The oil is hot.")},
			&procedure.Instruction{Prose: prose("Open the plug slowly.")},
			&procedure.ActionList{Actions: []*procedure.Action{{Verb: procedure.Drain, Object: ref("oil"), With: refs("tray")}}},
			&procedure.Callout{Actions: []*procedure.Action{
				{Verb: procedure.Remove, Object: ref("4")}, {Verb: procedure.Remove, Object: ref("9")}, {Verb: procedure.Loosen, Object: ref("5")},
				{Verb: procedure.Keep, Object: ref("6"), Reason: prose("carries the gearbox")},
			}},
			&procedure.KeyPoint{Point: "Catch the last drop", Reason: prose("It smells.")},
		}},
		{ID: "wait", Title: "Let it cool", Time: estimate(30), SafeStop: true, Blocks: []procedure.Block{
			&procedure.Instruction{Prose: prose("Wait until a hand can rest on it.")},
			&procedure.Tip{Prose: prose("Have a coffee.")},
		}},
		{ID: "lift", Title: "Lift it out", Time: estimate(50.5), People: 2, Tools: refs("spanner"), Variants: refs("belt"), Blocks: []procedure.Block{
			&procedure.ActionList{Actions: []*procedure.Action{
				{Verb: procedure.Remove, Object: ref("left-foot")}, {Verb: procedure.Lift, Object: ref("gearbox"), With: refs("hoist", "sling")},
			}},
			&procedure.Inspection{Of: ref("gearbox"), Items: []procedure.InspectionItem{
				{Look: "Shaft play", Accept: prose("at most 0.1 mm"), Limits: &procedure.Limits{}}, {Look: "Teeth", Accept: prose("no chips")},
			}},
			&procedure.Hold{Title: "Before the lift", Signature: "trainer", Confirmations: []procedure.Prose{prose("Floor is clear"), prose("Hook is shut")}},
		}},
	}}
	return &procedure.Library{Title: "Workshop", Language: "en", Machines: []*procedure.Machine{m}, Procedures: []*procedure.Procedure{p}}
}

var row, ref, refs, prose = statetest.Row, statetest.Ref, statetest.Refs, statetest.Prose

func estimate(minutes float64) procedure.Estimate {
	return procedure.Estimate{Optimistic: minutes, Likely: minutes, Pessimistic: minutes}
}

func pictures() map[string]*picture.Picture {
	return map[string]*picture.Picture{"figures/feet.svg": {Source: "figures/feet.svg", Width: 200, Height: 100, Sizes: []picture.Size{{Path: "pictures/feet.svg"}}}}
}

// emit returns the files of a library, by site path.
func emit(t *testing.T, lib *procedure.Library) map[string][]byte {
	t.Helper()
	theme := pagetest.Theme(t)
	var out output.Memory
	for _, p := range lib.Procedures {
		assert.NilError(t, EmitProcedure(lib, pictures(), theme, &out, analysis.New(p)))
	}
	return out.Files()
}
