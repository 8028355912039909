package site

import (
	"strings"

	"matchmark/compile/liftwords"
	"matchmark/procedure"
	"matchmark/procedure/lifting"
	"matchmark/procedure/lifts"
)

// liftView is the figures of one lift, shown before the action that lifts.
type liftView struct {
	// Title says what is lifted and how, Verdict in few words whether that is plausible.
	Title, Verdict string
	// Doubt is true when the part must not be lifted like this.
	Doubt bool
	// Open shows the figures at once.
	Open bool
	// Advice says what to do in a doubt; may be empty.
	Advice string
	Lines  []string
	// Gear is true for a lift with gear: nobody stands under its load.
	Gear bool
	// Sheet leads to the lift sheet.
	Sheet string
}

// lifts returns the panels for the actions of a list that lift.
func (b *stepBuilder) liftPanels(actions []*procedure.Action) []blockView {
	var out []blockView
	for _, a := range actions {
		if l, ok := b.lifts[a]; ok {
			out = append(out, blockView{Lift: b.lift(l)})
		}
	}
	return out
}

func (b *stepBuilder) lift(l lifts.Lift) *liftView {
	mass := liftwords.Mass(b.words, l, b.shell.Quantity)
	mass = strings.ReplaceAll(mass, " ", "\u00a0") // a number stays with its unit
	v := &liftView{Sheet: b.liftSheet}
	if l.Gear != nil {
		v.Gear, v.Open = true, true
		v.Title = b.words.T("step.lift.gear", l.Part.Name, mass)
		b.gear(v, l.Gear)
		v.Lines = append(v.Lines, liftwords.Shares(b.words, l)...)
	} else {
		v.Title = b.words.T("step.lift.hand", l.Part.Name, mass)
		b.hand(v, l)
		v.Open = v.Doubt
	}
	b.along(v, l.Along)
	return v
}

// along names what comes with the part.
func (b *stepBuilder) along(v *liftView, parts []*procedure.Part) {
	var counted, unweighed []string
	for _, p := range parts {
		if p.Mass.IsZero() {
			unweighed = append(unweighed, p.Name)
		} else {
			counted = append(counted, p.Name)
		}
	}
	if len(counted) > 0 {
		v.Lines = append(v.Lines, b.words.T("step.lift.along", strings.Join(counted, " · ")))
	}
	if len(unweighed) > 0 {
		v.Lines = append(v.Lines, b.words.T("step.lift.unweighed", strings.Join(unweighed, " · ")))
	}
}

func (b *stepBuilder) gear(v *liftView, g *lifting.GearVerdict) {
	v.Doubt = g.Gear != lifting.Carries
	switch g.Gear {
	case lifting.Carries:
		v.Verdict = b.words.T("step.lift.carries")
	case lifting.Overloaded:
		v.Verdict, v.Advice = b.words.T("step.lift.overloaded"), liftwords.Overloaded(b.words, g)
	case lifting.Refused:
		v.Verdict, v.Advice = b.words.T("step.lift.refused"), b.words.T("sheet.lift.refused")
	default:
		b.notJudged(v, g.Reason)
	}
	for i, item := range g.Items {
		v.Lines = append(v.Lines, b.gearItem(item, g.Load, i == g.Weakest))
	}
}

// gearItem says what an item of gear carries, and what it is good for.
func (b *stepBuilder) gearItem(item lifting.Item, load float64, weakest bool) string {
	if item.Reason != "" {
		return b.words.T("step.lift.item", item.Support.Name, liftwords.Reason(b.words, item.Reason))
	}
	carries := b.words.T("step.lift.rated", b.kilograms(item.Tension), b.kilograms(item.Capacity))
	angle := b.words.Number(item.Angle, 1) + "°"
	if item.AngleAssumed {
		angle = b.words.T("step.lift.guess", angle)
	}
	switch {
	case load == 0 && item.Legs > 1:
		carries = b.words.T("step.lift.legs-only", item.Legs, angle, b.kilograms(item.Capacity))
	case load == 0:
		carries = b.words.T("step.lift.rated-only", b.kilograms(item.Capacity))
	case item.Legs > 1:
		carries = b.words.T("step.lift.legs", b.kilograms(item.Tension), item.Legs, angle, b.kilograms(item.Capacity))
	}
	if item.Legs > 1 || item.Reduction != 1 || item.ByTag {
		carries = b.words.T("step.lift.together", carries, b.kilograms(item.CanCarry))
	}
	if how := liftwords.Arrangement(b.words, item); how != "" {
		carries = b.words.T("step.lift.arranged", carries, how)
	}
	line := b.words.T("step.lift.item", item.Support.Name, carries)
	if weakest {
		return b.words.T("step.lift.weakest", line)
	}
	return line
}

func (b *stepBuilder) hand(v *liftView, l lifts.Lift) {
	h := l.Hand
	v.Doubt = h.Band != lifting.Within
	switch h.Band {
	case lifting.Within:
		v.Verdict = b.words.T("step.lift.within")
	case lifting.Raised:
		v.Verdict, v.Advice = b.words.T("step.lift.raised"), b.words.T("sheet.lift.raised")
	case lifting.High:
		v.Verdict, v.Advice = b.words.T("step.lift.high"), b.words.T("sheet.lift.high")
	default:
		b.notJudged(v, h.Reason)
		return
	}
	people := b.words.Count("step.people", h.People)
	if h.People > 1 {
		people = b.words.T("step.lift.each", people, b.kilograms(h.Lift.Load))
	}
	v.Lines = append(v.Lines, people, b.limit(h), b.words.T("step.lift.index", liftwords.Index(b.words, h.Index)))
	stated, assumed := b.geometry(l)
	if len(stated) > 0 {
		v.Lines = append(v.Lines, b.words.T("step.lift.stated", strings.Join(stated, ", ")))
	}
	if len(assumed) > 0 {
		v.Lines = append(v.Lines, b.words.T("step.lift.assumed", strings.Join(assumed, ", ")))
	}
}

// limit says what each may lift, and in a team that this is less than what one may lift alone.
func (b *stepBuilder) limit(h *lifting.HandVerdict) string {
	if share := liftwords.TeamShare(h.People); share != "" {
		return b.words.T("step.lift.limit.team", b.kilograms(h.Limit), share, b.kilograms(h.Result.RWL))
	}
	return b.words.T("step.lift.limit", b.kilograms(h.Limit))
}

func (b *stepBuilder) notJudged(v *liftView, why lifting.Reason) {
	v.Doubt = true
	v.Verdict = b.words.T("step.lift.not-judged")
	v.Advice = liftwords.NotJudged(b.words, why)
}

// geometry says how a part is lifted by hand, apart by who says so.
func (b *stepBuilder) geometry(l lifts.Lift) (stated, assumed []string) {
	facts := liftwords.Geometry(b.words, l)
	for i := 0; i < len(facts); i++ {
		f := facts[i]
		if i == liftwords.From && facts[liftwords.To].Assumed == f.Assumed {
			f.Text += " " + facts[liftwords.To].Text // from here to there, in one breath
			i = liftwords.To
		}
		if f.Assumed {
			assumed = append(assumed, f.Text)
		} else {
			stated = append(stated, f.Text)
		}
	}
	return stated, assumed
}

func (b *stepBuilder) kilograms(kg float64) string { return liftwords.Kilograms(b.words, kg) }
