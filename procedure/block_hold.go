package procedure

import "matchmark/procedure/grammar"

// Hold is a hold point: each confirmation must be given before the next step.
type Hold struct {
	Common
	Title         string
	Confirmations []Prose
	// Signature names who signs the hold point, such as "trainer"; empty when the learner's own ticks do.
	Signature string
	// SafeStop is true when work can be interrupted here.
	SafeStop bool
}

var holdKind = define(Kind{
	BlockKind: grammar.BlockKind{
		Name: "hold", Means: "A hold point: each confirmation must be given before the next step.",
		Title: "what the hold point is for",
		Attributes: []grammar.Attribute{
			{Name: "signature", Type: grammar.Words, Means: "who signs it, such as `trainer`"},
			{Name: "safe-stop", Type: grammar.Flag, Means: "work can be interrupted here"},
		},
		In:    []grammar.Place{grammar.InStep},
		Holds: "A list of confirmations. The hold point is the last block of its step.",
		Example: `::: hold "Before the lift" {signature=trainer}
- The floor under the load is clear
- The hook latch is closed
:::`,
	},
	Rank:      70,
	New:       func() Block { return &Hold{} },
	Refitting: "Left out: lifts and the end of the refitting get hold points of their own.",
})

// Kind implements Block.
func (b *Hold) Kind() *Kind { return holdKind }

// Shows implements Block.
func (b *Hold) Shows() Shown { return Shown{Hold: b} }
