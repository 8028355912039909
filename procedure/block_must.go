package procedure

import "matchmark/procedure/grammar"

// Must is what has to be kept to and no act or reading says: "never over 120 °C".
type Must struct {
	Common
	Prose Prose `word:"text"`
	// OutOnly is true for what holds for taking out, which the derived refitting does not repeat.
	OutOnly bool
}

var mustKind = define(Kind{
	BlockKind: grammar.BlockKind{
		Name: "must", Form: "- [ ] must: WORDS", Means: "What has to be kept to, and no act or reading says. It stands out on the step view, and the checklist has it in full.",
		Attributes: []grammar.Attribute{{Name: "out-only", Type: grammar.Flag, Means: "it is about taking out; the refitting leaves it out"}},
		In:         grammar.InStepOrVariant,
		Holds:      "A line of a task list, in few words: two lines of a sheet at most. Nothing is ticked.",
		Example:    "- [ ] must: Never heat the gearbox over 120 °C.",
	},
	Rank:      68,
	New:       func() Block { return &Must{} },
	Skips:     map[Page]string{SessionSheet: "the checklist has it"},
	Refitting: "Repeated in the steps that turn round its step, unless it is `out-only`.",
})

// Kind implements Block.
func (b *Must) Kind() *Kind { return mustKind }

// Shows implements Block.
func (b *Must) Shows() Shown { return Shown{Must: &b.Prose} }

// ForRefitting implements Returning: it goes along with what its step acts on.
func (b *Must) ForRefitting(func(thing string) bool) Block {
	if b.OutOnly {
		return nil
	}
	return b
}
