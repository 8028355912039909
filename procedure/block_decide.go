package procedure

import "matchmark/procedure/grammar"

// Decision is a question that the learner answers with yes or no.
type Decision struct {
	Common
	Name     string
	Question Prose
	// Chance is how likely the answer is yes, in percent; 0 when not stated.
	Chance int
}

// UsualChance is the chance of a yes, or of a value out of its limits, where the author states none, in percent.
const UsualChance = 50

var decisionKind = define(Kind{
	BlockKind: grammar.BlockKind{
		Name: "decide", Form: "- [ ] decide NAME: QUESTION", Means: "A question that the learner answers with yes or no; steps and blocks can be done only for one of the answers.",
		Argument:   grammar.Attribute{Name: "name", Type: grammar.Name, Required: true, Means: "what conditions know the answer by"},
		Attributes: []grammar.Attribute{{Name: "chance", Type: grammar.Whole, Means: "how likely the answer is yes, in percent; 50 when not stated"}},
		In:         grammar.InStepOrVariant,
		Holds: "A line of a task list. `if=NAME` at a step, or a block `only`, has what is done for a yes, `if=\"not NAME\"` for a no. " +
			"A name of a reading decides too, `if=\"play out\"` or `if=\"play within\"`, and that of an inspection: `if=\"belt fails\"`. `and` and `or` join names.",
		Example: `- [ ] decide stuck: Does the guard stick to its seat? {chance=20}

::: only {if=stuck}
Tap the guard with a wooden wedge.
:::`,
	},
	Rank:      64,
	New:       func() Block { return &Decision{} },
	Skips:     map[Page]string{SessionSheet: "the checklist has the rows"},
	Refitting: "Left out; the way back follows the answer.",
})

// Kind implements Block.
func (b *Decision) Kind() *Kind { return decisionKind }

// Shows implements Block.
func (b *Decision) Shows() Shown { return Shown{Decision: b} }
