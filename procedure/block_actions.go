package procedure

import (
	"matchmark/procedure/grammar"
	"matchmark/procedure/measure"
)

// ActionList is what is done to parts, connections, fluids, supports and conditions.
type ActionList struct {
	Common
	// Lift is how a part is lifted by hand, as far as the author says.
	Lift    HandLift
	Actions []*Action
}

// HandLift is the geometry of a lift by hand, by the names of the NIOSH revised
// lifting equation. A zero quantity is not stated.
type HandLift struct {
	// Reach is the horizontal distance of the hands from the ankles (H).
	Reach measure.Quantity
	// From and To are the height of the hands above the floor at the start and at the end (V).
	From, To measure.Quantity
	// Twist is the angle between the way the feet and the load point (A).
	Twist measure.Quantity
	// Grip is the coupling: good, fair or poor.
	Grip string
}

var actionListKind = define(Kind{
	BlockKind: grammar.BlockKind{
		Name: "actions", Form: "- [ ] verb names", Means: "What is done, in the order of work: fasteners, parts, connections, fluids, supports and conditions in one list.",
		Attributes: []grammar.Attribute{
			{Name: "reach", Type: grammar.Amount, Dimension: measure.Length, Means: "lift by hand: how far the hands are in front of the ankles"},
			{Name: "from", Type: grammar.Amount, Dimension: measure.Length, Means: "lift by hand: height of the hands at the start"},
			{Name: "to", Type: grammar.Amount, Dimension: measure.Length, Means: "lift by hand: height of the hands at the end"},
			{Name: "twist", Type: grammar.Amount, Dimension: measure.Angle, Means: "lift by hand: how far the body turns"},
			{Name: "at", Type: grammar.Position, Means: "behind what is supported or set down: where on the part each jack, hook or leg of a sling takes it"},
			{Name: "hook", Type: grammar.Position, Means: "where the hook of a sling with several legs hangs, when that is not over the middle of what it lifts"},
			{Name: "who", Type: grammar.Names, Means: "trades and tickets of those who do it: somebody of the step's people for each"},
			{Name: "locks", Type: grammar.Words, Means: "behind what is established to keep energy away: the locks that go on, a number, one of each person, or `each` for one of everybody who works on the machine; behind what is undone: those that come off, all when not stated, and with `each` everybody comes and takes off their own"},
			{Name: "grip", Type: grammar.Choice, Of: []string{"good", "fair", "poor"}, Means: "lift by hand: how well the hands hold"},
		},
		In:    grammar.InStepOrVariant,
		Holds: "A task list, one act a line: a verb, names or callout numbers, a preposition with further names where the verb takes one, after a colon a reason, and at the end of the line attributes in braces. `remove 4 of 6` says how many of fastener 6 there are.",
		Example: `- [ ] disconnect earth-strap
- [ ] remove guard {reach="40 cm" from="70 cm" to="60 cm"}
- [ ] support gearbox with hoist, sling {at="300 / 540" hook=420}`,
	},
	Rank:      50,
	New:       func() Block { return &ActionList{} },
	Skips:     map[Page]string{SessionSheet: "the checklist has the rows"},
	Refitting: "Turned round.",
})

// Kind implements Block.
func (b *ActionList) Kind() *Kind { return actionListKind }

// Shows implements Block.
func (b *ActionList) Shows() Shown { return Shown{Actions: b.Actions, Lift: &b.Lift} }
