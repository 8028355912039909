package procedure

import (
	"matchmark/procedure/grammar"
	"matchmark/procedure/text"
)

// Inspection says what to look at and what is acceptable.
type Inspection struct {
	Common
	// Of is the thing that is inspected.
	Of    Ref `refers:"thing"`
	Items []InspectionItem
	// Name is what conditions know the inspection by; empty for none.
	Name string
	// Chance is how likely it fails, in percent; 0 when not stated.
	Chance int
}

// InspectionItem is one thing to look at.
type InspectionItem struct {
	Look   string
	Accept Prose
	// Limits is set when the acceptable state is a measured range.
	Limits *Limits `word:"-"` // what Accept says, as numbers
	Span   text.Span
}

var inspectionKind = define(Kind{
	BlockKind: grammar.BlockKind{
		Name: "inspect", Means: "What to look at and what is acceptable.",
		Attributes: []grammar.Attribute{
			{Name: "of", Type: grammar.Name, Means: "the thing that is inspected; that of the last `inspect` before when not stated"},
			{Name: "name", Type: grammar.Name, Means: "a name for conditions: `if=\"NAME fails\"` has what is done when something is found"},
			{Name: "chance", Type: grammar.Whole, Means: "how likely it fails, in percent; 50 when not stated"},
		},
		In:    grammar.InStepOrVariant,
		Holds: "A list: what to look at, a colon, what is acceptable. `12 mm to 13 mm`, `at least 3 mm` and `at most 0.1 mm` are measured limits.",
		Example: `::: inspect {of=gearbox}
- Oil: no metal flakes
- Shaft play: at most 0.1 mm
:::`,
	},
	Rank:      60,
	New:       func() Block { return &Inspection{} },
	Skips:     map[Page]string{SessionSheet: "the checklist has the rows"},
	Refitting: "Left out: what is seen here does not change.",
})

// Kind implements Block.
func (b *Inspection) Kind() *Kind { return inspectionKind }

// Shows implements Block.
func (b *Inspection) Shows() Shown { return Shown{Looks: b} }
