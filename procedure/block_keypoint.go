package procedure

import (
	"matchmark/procedure/grammar"

	"matchmark/procedure/say"
)

// KeyPoint makes or breaks the step (TWI job instruction), with its reason.
type KeyPoint struct {
	Common
	Point  string `word:"title"`
	Reason Prose
}

var keyPointKind = define(Kind{
	BlockKind: grammar.BlockKind{
		Name: "key-point", Form: "> **Point**", Means: "What makes or breaks the step (TWI job instruction), with its reason.",
		Title: "the key point", TitleRequired: true,
		In: grammar.InStepOrVariant, Holds: "A quotation that begins with bold words, the point. The rest of it is the reason, which must be given.",
		Example: `> **Pull the belt off by hand**
> A lever nicks the groove, and the belt then fails early.`,
	},
	Rank:      30,
	New:       func() Block { return &KeyPoint{} },
	Lacks:     say.That("the reason"),
	Refitting: "Left out: it is about taking out.",
})

// Kind implements Block.
func (b *KeyPoint) Kind() *Kind { return keyPointKind }

// Shows implements Block.
func (b *KeyPoint) Shows() Shown { return Shown{Point: b} }
