package sheet

import (
	"html/template"
	"math"
	"strconv"
	"strings"

	"matchmark/compile/liftwords"
	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/lifting"
	"matchmark/procedure/lifts"
)

// liftView is the sheet of a job's lifts: what they weigh, whether gear and hands
// carry that, and what is looked at before each.
type liftView struct {
	Head
	Caution page.Caution
	Gear    []gearLift
	Hand    []handLift
}

// liftOf is what all lifts have.
type liftOf struct {
	Step                   int
	Verb, Letter, Name     string
	Mass, Along, Unweighed string
	// Verdict is in words; Doubt is true when the lift must not be done like this.
	Verdict string
	Doubt   bool
}

// gearLift is a lift with a hoist, a sling, a jack or the like.
type gearLift struct {
	liftOf
	Items []gearItem
	// Shares says which support, leg and fastener has how much, or that it is not known.
	Shares []string
	// Hangs is true when the load hangs from a hook, and false when it stands on a jack or a stand.
	Hangs bool
	// Laid are the words on what lies between the legs of a sling and the load; empty where they hook into it.
	Laid string
	// Into names the eyes, lugs and beams that the gear is hooked into; empty when not stated.
	Into string
}

type gearItem struct {
	Name, Rated, Legs, Angle string
	// Load is the pull on one leg of a sling, or the whole load on anything else.
	Load, CanCarry string
	// Why says why the item was not judged; Load and CanCarry may be empty then.
	Why              string
	Assumed, Weakest bool
}

func (e emitter) lift() error {
	h, err := e.head(Lift, "who", "date", "machine")
	if err != nil {
		return err
	}
	v := liftView{Head: h, Caution: e.liftCaution(), Hand: make([]handLift, 0, len(e.lifts))}
	for _, l := range e.lifts {
		if l.Gear != nil {
			v.Gear = append(v.Gear, e.gearLift(h.Shell, l))
		} else {
			v.Hand = append(v.Hand, e.handLift(h.Shell, l))
		}
	}
	return e.write(Lift, liftPage(v))
}

// liftCaution is what holds for every lift.
//
// Source: common practice; the usual warnings of the lifting trade.
func (e emitter) liftCaution() page.Caution {
	var text strings.Builder
	for _, words := range []string{
		e.words.T("sheet.lift.caution.under"), e.words.T("sheet.lift.caution.people"),
		e.words.T("sheet.lift.caution.inspect"), e.words.T("sheet.lift.caution.latch"),
	} {
		text.WriteString("<p>" + template.HTMLEscapeString(words) + "</p>")
	}
	return page.Caution{Signal: procedure.WarningWord, Text: template.HTML(text.String())}
}

func (e emitter) liftOf(s page.Shell, l lifts.Lift) liftOf {
	v := liftOf{
		Step: l.Step.Number, Verb: e.words.T("verb." + string(l.Action.Verb)),
		Letter: l.Part.Letter, Name: l.Part.Name, Mass: liftwords.Mass(e.words, l, s.Quantity),
	}
	var along, unweighed []string
	for _, p := range l.Along {
		along = append(along, p.Name)
	}
	for _, p := range l.Unweighed {
		unweighed = append(unweighed, p.Name)
	}
	v.Along, v.Unweighed = strings.Join(along, ", "), strings.Join(unweighed, ", ")
	return v
}

func (e emitter) gearLift(s page.Shell, l lifts.Lift) gearLift {
	g := gearLift{liftOf: e.liftOf(s, l), Shares: liftwords.Shares(e.words, l)}
	var into []string
	for i, item := range l.Gear.Items {
		for _, r := range item.Support.Into {
			into = append(into, e.hookedInto(r))
		}
		g.Items = append(g.Items, e.gearItem(s, l.Gear, item, i == l.Gear.Weakest))
		g.Hangs = g.Hangs || !standing(item.Support)
		if laid := laid(item.Support, l.Part); laid != "" {
			g.Laid = e.words.T(laid)
		}
	}
	g.Into = strings.Join(into, ", ")
	g.Verdict, g.Doubt = e.gearVerdict(l.Gear)
	return g
}

// laid is the line on what lies between a sling and the load that it goes around; empty where it hooks into something. A textile sling
// that is choked on a round part holds by its grip, which a pad would take away.
//
// Source: common practice, no source.
func laid(x *procedure.Support, load *procedure.Part) string {
	switch {
	case !x.Ability().Between || x.Kind == procedure.EyeBolt || len(x.Into) > 0:
		return ""
	case x.Hitch == procedure.Choker && x.Kind == procedure.Sling && load.Round:
		return "sheet.lift.look.bare"
	}
	return "sheet.lift.look.padded"
}

// hookedInto is what an eye, a lug or a beam is called, with its number.
func (e emitter) hookedInto(r procedure.Ref) string {
	t := e.job.Machine.Thing(r.ID)
	if t.Fastener != nil {
		return t.Row.Name + " (" + r.ID + ")"
	}
	return t.Row.Name
}

// standing reports whether a support carries from below, or keeps from rolling or tipping there.
func standing(x *procedure.Support) bool {
	can := x.Ability()
	return (can.Below || can.Rolling || can.Tipping) && !can.Hangs
}

func (e emitter) gearItem(s page.Shell, v *lifting.GearVerdict, from lifting.Item, weakest bool) gearItem {
	to := gearItem{Name: from.Support.Name, Rated: s.Quantity(from.Support.Capacity), Assumed: from.AngleAssumed, Weakest: weakest}
	if from.Legs > 0 {
		to.Legs = strconv.Itoa(max(from.Support.Legs, 1))
		if from.Legs < from.Support.Legs {
			to.Legs = joined(to.Legs, e.words.T("sheet.lift.legs-carry", from.Legs))
		}
		to.Legs = joined(to.Legs, liftwords.Arrangement(e.words, from))
		to.Angle = e.words.Number(from.Angle, 1) + "°"
	}
	if from.Reason != "" {
		to.Why = liftwords.Reason(e.words, from.Reason)
		return to
	}
	to.CanCarry = e.kilograms(from.CanCarry)
	if v.Load > 0 {
		to.Load = e.kilograms(from.Tension)
		switch {
		case from.OtherAngle != 0: // the steeper leg has the greater pull, and that is the one that is given
			to.Load = e.words.T("sheet.lift.greater-leg", to.Load)
		case from.Legs > 1:
			to.Load = e.words.T("sheet.lift.per-leg", to.Load)
		}
	}
	return to
}

// gearVerdict says whether the gear carries the load.
func (e emitter) gearVerdict(v *lifting.GearVerdict) (words string, doubt bool) {
	switch v.Gear {
	case lifting.Carries:
		weakest := v.Items[v.Weakest]
		return e.words.T("sheet.lift.carries", e.kilograms(weakest.CanCarry), weakest.Support.Name, e.words.Number(math.Ceil(100*v.Load/weakest.CanCarry), 0)), false
	case lifting.Overloaded:
		return liftwords.Overloaded(e.words, v), true
	case lifting.Refused:
		return e.words.T("sheet.lift.refused"), true
	}
	return liftwords.NotJudged(e.words, v.Reason), true
}

func (e emitter) kilograms(kg float64) string { return liftwords.Kilograms(e.words, kg) }
