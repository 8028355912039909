package procedure

import (
	"slices"

	"matchmark/procedure/grammar"
	"matchmark/procedure/measure"
)

// Wait is time that passes while nobody works on it: cooling, curing, draining.
type Wait struct {
	Common
	Time measure.Quantity
	// For says what is waited for.
	For Prose
	// On are the things that may not be touched meanwhile. Without any, all that follows from the step waits.
	On []Ref `refers:"thing"`
	// People is how many have to stay.
	People int
}

var waitKind = define(Kind{
	BlockKind: grammar.BlockKind{
		Name: "wait", Form: "- [ ] wait TIME: REASON", Means: "Time that passes while nobody works on it, at the end of a step: cooling, curing, draining.",
		Argument: grammar.Attribute{Name: "time", Type: grammar.Amount, Dimension: measure.Time, Required: true, Means: "how long"},
		Attributes: []grammar.Attribute{
			{Name: "on", Type: grammar.Names, Means: "what may not be touched meanwhile; other steps go on. Without it, all that follows from the step waits"},
			{Name: "people", Type: grammar.Whole, Means: "how many have to stay; nobody when not stated"},
		},
		In:      grammar.InStepOrVariant,
		Holds:   "A line of a task list, the last one of its step. The tablet counts down, also while other steps go on. The time is not in that of the step.",
		Example: "- [ ] wait 5 min: the oil drains from the case",
	},
	Rank:      66,
	New:       func() Block { return &Wait{} },
	Skips:     map[Page]string{SessionSheet: "the checklist has the rows"},
	Refitting: "Left out: it is about taking out.",
})

// Holds reports whether a later step touches what the wait is on.
func (b *Wait) Holds(later *Step) bool {
	return slices.ContainsFunc(later.Actions(), func(a *Action) bool {
		return slices.ContainsFunc(b.On, func(r Ref) bool { return a.Object.ID == r.ID })
	})
}

// Kind implements Block.
func (b *Wait) Kind() *Kind { return waitKind }

// Shows implements Block.
func (b *Wait) Shows() Shown { return Shown{Wait: b} }
