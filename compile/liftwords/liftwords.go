// Package liftwords says the figures of a lift in words, for the step view and
// the lift sheet alike.
package liftwords

import (
	"math"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/lifting"
	"matchmark/procedure/lifts"
	"matchmark/procedure/loads"
	"matchmark/procedure/measure"
	"matchmark/procedure/position"
	"matchmark/procedure/state"
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

// Mass writes the mass of a lift, as the page writes quantities: as the least where something on the load is not weighed.
func Mass(words *themes.Words, l lifts.Lift, quantity func(measure.Quantity) string) string {
	switch {
	case l.Mass.IsZero():
		return words.T("sheet.lift.no-mass")
	case len(l.Unweighed) > 0:
		return words.T("sheet.lift.at-least", quantity(l.Mass))
	}
	return quantity(l.Mass)
}

// WithAlong writes the mass of a lift and what comes along in it.
func WithAlong(words *themes.Words, l lifts.Lift, quantity func(measure.Quantity) string) string {
	var along []string
	for _, p := range l.Along {
		along = append(along, p.Name)
	}
	return words.T("sheet.lift.with-along", Mass(words, l, quantity), strings.Join(along, ", "))
}

// Shares says, line by line, which support, leg and fastener has how much, and how the load hangs; or that it is not known. It
// begins with the eye bolts that were not judged.
func Shares(words *themes.Words, l lifts.Lift) (out []string) {
	for _, eye := range l.UnjudgedEyes() {
		out = append(out, words.T("sheet.lift.eye-unjudged", eye.ID, eye.Name))
	}
	for i, b := range l.Balances {
		if !b.Judged {
			if i == 0 {
				out = append(out, words.T("sheet.lift.shares-unknown"))
			}
			continue
		}
		if i > 0 {
			out = append(out, words.T("sheet.lift.stays", partNames(b.Group.Parts)))
		}
		switch f := b.Free; {
		case f == nil && !b.Holds:
			out = append(out, words.T("sheet.lift.no-balance"))
		case f == nil:
		case b.Angled && !f.Above:
			out = append(out, words.T("sheet.lift.turns-over"))
		case f.Off == 0:
			out = append(out, words.T("sheet.lift.level"))
		case b.Angled:
			out = append(out, words.T("sheet.lift.tilt", words.Number(f.Off, 0), words.Number(f.Tilt, 1)))
		default:
			out = append(out, words.T("sheet.lift.off", words.Number(f.Off, 0)))
		}
		for _, x := range b.Shares {
			if name := shareOf(words, b, x); x.Grounded && name != "" {
				out = append(out, name)
			}
			if x.Line == nil {
				continue
			}
			for _, leg := range b.Legs[x.Line] {
				out = append(out, words.T("sheet.lift.leg", position.Of(leg.At, b.Line), Kilograms(words, leg.Share), Kilograms(words, leg.Pull)))
			}
		}
	}
	return out
}

// shareOf says what one support, fastener or seat has; empty for what joints leave open.
func shareOf(words *themes.Words, b *loads.Balance, x loads.Share) string {
	name := ""
	switch {
	case x.Fastener != nil:
		name = words.T("sheet.lift.fastener", x.Fastener.ID)
	case x.Joint != nil:
		name = x.Joint.Name
	case x.Seat != nil:
		name = words.T("sheet.lift.seat", x.Seat.Name)
	default:
		name = x.Line.Supports[0].Name
	}
	at := position.Of(x.At, b.Line)
	switch {
	case !x.Bounded:
		return words.T("sheet.lift.share.open", name, at)
	case x.Known:
		return words.T("sheet.lift.share", name, at, Kilograms(words, x.Most))
	}
	return words.T("sheet.lift.share.between", name, at, Kilograms(words, x.Least), Kilograms(words, x.Most))
}

func partNames(parts []*state.Part) string {
	var names []string
	for _, p := range parts {
		names = append(names, p.Name)
	}
	return strings.Join(names, ", ")
}

// Arrangement says how a sling or eye bolts are put on, where that is more than legs at an angle; it may be empty.
func Arrangement(words *themes.Words, i lifting.Item) string {
	var out []string
	if i.OtherAngle != 0 {
		out = append(out, words.T("sheet.lift.other-leg", words.Number(i.OtherAngle, 1)+"°"))
	}
	switch i.Support.Hitch {
	case procedure.Choker:
		key := "sheet.lift.choker"
		if i.ChokeAssumed {
			key = "sheet.lift.choker.assumed"
		}
		out = append(out, words.T(key, words.Number(100*i.Reduction, 1)))
	case procedure.Basket:
		out = append(out, words.T("sheet.lift.basket"))
	}
	if i.Support.Kind == procedure.EyeBolt && i.Reduction != 1 {
		out = append(out, words.T("sheet.lift.eye", words.Number(100*i.Reduction, 1)))
	}
	if i.ByTag {
		out = append(out, words.T("sheet.lift.by-tag"))
	}
	return strings.Join(out, ", ")
}

// TeamShare is the share of the sum of their limits that a team may lift, as a fraction; empty for one person.
func TeamShare(people int) string {
	return map[int]string{2: "2/3", 3: "1/2"}[people]
}

// Reason says why something was not judged.
func Reason(words *themes.Words, why lifting.Reason) string {
	return words.T("sheet.lift.reason." + string(why))
}

// NotJudged says that a lift was not judged, and why.
func NotJudged(words *themes.Words, why lifting.Reason) string {
	return words.T("sheet.lift.not-judged", Reason(words, why))
}
