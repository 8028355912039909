package procedure

// Instruction is what to do, in the author's words.
type Instruction struct {
	Common
	Prose Prose `word:"text"`
}

var instructionKind = define(Kind{
	Rank: 0,
	New:  func() Block { return &Instruction{} },
	Skips: map[Page]string{
		Checklist:    "the rows say what is done; a step without rows shows it all the same",
		SessionSheet: "the step's title says what is done",
	},
	Refitting: "Left out: it says how to take out.",
})

// Kind implements Block.
func (b *Instruction) Kind() *Kind { return instructionKind }

// Shows implements Block.
func (b *Instruction) Shows() Shown { return Shown{Text: &b.Prose} }
