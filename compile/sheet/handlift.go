package sheet

import (
	"html/template"
	"math"
	"slices"
	"strings"

	"matchmark/compile/page"
	"matchmark/procedure/lifting"
	"matchmark/procedure/lifts"
)

// handLift is a lift by hand, by the NIOSH revised lifting equation.
type handLift struct {
	liftOf
	People int
	// Each is what one person carries, Limit the recommended weight limit, Index the
	// lifting index; all are empty for a lift that was not judged.
	Each, Limit, Index string
	// Geometry is how the lift is done, one fact each.
	Geometry []geometryFact
	// Ends are the equation at the start and at the end of the lift.
	Ends []equation
}

// geometryFact is one figure that the equation needs.
type geometryFact struct {
	Text string
	// Assumed is true when the author does not state it.
	Assumed bool
}

// equation is the limit at one end of a lift: the load constant times its factors.
type equation struct {
	Where  string
	Terms  template.HTML
	Limit  string
	Lowest bool
}

func (e emitter) handLift(s page.Shell, l lifts.Lift) handLift {
	v := handLift{liftOf: e.liftOf(s, l), People: l.Hand.People}
	v.Geometry = e.geometry(l)
	r := l.Hand.Result
	switch l.Hand.Band {
	case lifting.NotJudged:
		v.Verdict, v.Doubt = e.words.T("sheet.lift.not-judged", e.words.T("sheet.lift.reason."+string(l.Hand.Reason))), true
		return v
	case lifting.Within:
		v.Verdict = e.words.T("sheet.lift.within")
	case lifting.Raised:
		v.Verdict, v.Doubt = e.words.T("sheet.lift.raised"), true
	case lifting.High:
		v.Verdict, v.Doubt = e.words.T("sheet.lift.high"), true
	}
	v.Each, v.Limit, v.Index = e.kilograms(l.Hand.Lift.Load), e.kilograms(r.RWL), e.words.T("sheet.lift.beyond")
	if !math.IsInf(r.Index, 0) {
		v.Index = e.words.Number(r.Index, 2)
	}
	v.Ends = append(v.Ends, e.equation(e.words.T("sheet.lift.start"), r.Origin, r.Destination != nil && !r.AtDestination))
	if r.Destination != nil {
		v.Ends = append(v.Ends, e.equation(e.words.T("sheet.lift.end"), *r.Destination, r.AtDestination))
	}
	return v
}

// geometry names each figure of the equation, and whether somebody stated it.
func (e emitter) geometry(l lifts.Lift) []geometryFact {
	h := l.Hand.Lift
	cm := func(x float64) string { return e.words.Number(x, 1) + " cm" }
	fact := func(name, words string) geometryFact { return geometryFact{words, slices.Contains(l.Assumed, name)} }
	return []geometryFact{
		fact("reach", e.words.T("sheet.lift.reach", cm(h.Origin.Horizontal))),
		fact("from", e.words.T("sheet.lift.from", cm(h.Origin.Vertical))),
		fact("to", e.words.T("sheet.lift.to", cm(h.Destination.Vertical))),
		fact("twist", e.words.T("sheet.lift.twist", e.words.Number(h.Origin.Asymmetry, 1)+"°")),
		fact("grip", e.words.T("sheet.lift.grip", e.grip(h.Coupling))),
	}
}

func (e emitter) grip(c lifting.Coupling) string {
	switch c {
	case lifting.Good:
		return e.words.T("sheet.lift.grip.good")
	case lifting.Fair:
		return e.words.T("sheet.lift.grip.fair")
	}
	return e.words.T("sheet.lift.grip.poor")
}

// equation writes the factors by the names of the equation, which are the same in every language.
func (e emitter) equation(where string, l lifting.Limit, lowest bool) equation {
	m := l.Multipliers
	var terms strings.Builder
	for _, f := range []struct {
		name  string
		value float64
	}{{"HM", m.Horizontal}, {"VM", m.Vertical}, {"DM", m.Distance}, {"AM", m.Asymmetry}, {"FM", m.Frequency}, {"CM", m.Coupling}} {
		terms.WriteString(` × <span class="factor">` + f.name + " " + e.words.Number(f.value, 3) + "</span>")
	}
	return equation{Where: where, Terms: template.HTML(terms.String()), Limit: e.kilograms(l.RWL), Lowest: lowest}
}
