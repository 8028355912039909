package procedure

import "matchmark/procedure/grammar"

// Callout is a fastener callout: actions on callout numbers, shown on a figure.
type Callout struct {
	Common
	Figure  Ref       `refers:"figure"`
	Actions []*Action `refers:"fastener"`
}

var calloutKind = define(Kind{
	BlockKind: grammar.BlockKind{
		Name: "fasteners", Means: "The fastener callout: acts on the numbered fasteners of a figure that is not the step's.",
		Argument:   grammar.Attribute{Name: "figure", Type: grammar.Name, Means: "the figure to show"},
		Attributes: []grammar.Attribute{{Name: "figure", Type: grammar.Name, Means: "the figure to show", Old: true}},
		In:         grammar.InStepOrVariant,
		Holds:      "A task list: a verb and callout numbers, and after a colon the reason. A fastener that is kept needs its reason. With the step's own figure the list needs no block around it.",
		Example: `::: fasteners front
- [ ] remove 2
- [ ] keep 3: carries the gearbox until the hoist does
:::`,
	},
	Rank:      40,
	New:       func() Block { return &Callout{} },
	Skips:     map[Page]string{SessionSheet: "the checklist has the rows"},
	Refitting: "Turned round.",
})

// Kind implements Block.
func (b *Callout) Kind() *Kind { return calloutKind }

// Shows implements Block.
func (b *Callout) Shows() Shown { return Shown{Actions: b.Actions, Figure: &b.Figure} }
