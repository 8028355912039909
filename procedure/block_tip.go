package procedure

import (
	"matchmark/procedure/grammar"

	"matchmark/procedure/say"
)

// Tip is advice of the trade that makes the work easier.
type Tip struct {
	Common
	Prose Prose `word:"text"`
}

var tipKind = define(Kind{
	BlockKind: grammar.BlockKind{
		Name: "tip", Means: "Advice of the trade that makes the work easier.",
		In: grammar.InStepOrVariant, Holds: "Prose.",
		Example: `::: tip
Put the guard screws into their bag at once, so that none is lost.
:::`,
	},
	Rank:  20,
	New:   func() Block { return &Tip{} },
	Lacks: say.That("the tip"),
	Skips: map[Page]string{
		Checklist:    "nothing in it is ticked, and the work goes without it",
		SessionSheet: "it holds what makes or breaks the step",
	},
	Refitting: "Left out: it is about taking out.",
})

// Kind implements Block.
func (b *Tip) Kind() *Kind { return tipKind }

// Shows implements Block.
func (b *Tip) Shows() Shown { return Shown{Advice: &b.Prose} }
