// Package liftwords says the figures of a lift in words, for the step view and
// the lift sheet alike.
package liftwords

import (
	"math"
	"slices"

	"matchmark/procedure/lifting"
	"matchmark/procedure/lifts"
	"matchmark/themes"
)

// Fact is one figure that the lifting equation needs.
type Fact struct {
	Text string
	// Assumed is true when the author does not state it.
	Assumed bool
}

// The facts of a lift by hand, in the order in which Geometry gives them.
const (
	Reach = iota
	From  // the hands' height at the start
	To    // and at the end
	Twist
	Grip
	facts
)

// Geometry says how a part is lifted by hand.
func Geometry(words *themes.Words, l lifts.Lift) [facts]Fact {
	h := l.Hand.Lift
	cm := func(x float64) string { return words.Number(x, 1) + " cm" }
	fact := func(name, value string) Fact {
		return Fact{words.T("sheet.lift."+name, value), slices.Contains(l.Assumed, name)}
	}
	return [...]Fact{
		Reach: fact("reach", cm(h.Origin.Horizontal)),
		From:  fact("from", cm(h.Origin.Vertical)),
		To:    fact("to", cm(h.Destination.Vertical)),
		Twist: fact("twist", words.Number(h.Origin.Asymmetry, 1)+"°"),
		Grip:  fact("grip", words.T("sheet.lift.grip."+grip(h.Coupling))),
	}
}

// grip is a coupling's name in the table of words.
func grip(c lifting.Coupling) string {
	switch c {
	case lifting.Good:
		return "good"
	case lifting.Fair:
		return "fair"
	}
	return "poor"
}

// Kilograms writes a mass, to a tenth of a kilogram.
func Kilograms(words *themes.Words, kg float64) string { return words.Number(kg, 1) + " kg" }

// Index writes a lifting index, or says that the lift is beyond the equation.
func Index(words *themes.Words, index float64) string {
	if math.IsInf(index, 0) {
		return words.T("sheet.lift.beyond")
	}
	return words.Number(index, 2)
}

// Overloaded says what the weakest item of gear can carry.
func Overloaded(words *themes.Words, g *lifting.GearVerdict) string {
	weakest := g.Items[g.Weakest]
	return words.T("sheet.lift.overloaded", Kilograms(words, weakest.CanCarry), weakest.Support.Name)
}

// Reason says why something was not judged.
func Reason(words *themes.Words, why lifting.Reason) string {
	return words.T("sheet.lift.reason." + string(why))
}

// NotJudged says that a lift was not judged, and why.
func NotJudged(words *themes.Words, why lifting.Reason) string {
	return words.T("sheet.lift.not-judged", Reason(words, why))
}
