package sheet

import (
	"matchmark/compile/liftwords"
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
	Geometry []liftwords.Fact
	// Ends are the equation at the start and at the end of the lift.
	Ends []equation
}

// equation is the limit at one end of a lift: the load constant times its factors.
type equation struct {
	Where  string
	Terms  string
	Limit  string
	Lowest bool
}

func (e emitter) handLift(s page.Shell, l lifts.Lift) handLift {
	v := handLift{liftOf: e.liftOf(s, l), People: l.Hand.People}
	geometry := liftwords.Geometry(e.words, l)
	v.Geometry = geometry[:]
	r := l.Hand.Result
	switch l.Hand.Band {
	case lifting.NotJudged:
		v.Verdict, v.Doubt = liftwords.NotJudged(e.words, l.Hand.Reason), true
		return v
	case lifting.Within:
		v.Verdict = e.words.T("sheet.lift.within")
	case lifting.Raised:
		v.Verdict, v.Doubt = e.words.T("sheet.lift.raised"), true
	case lifting.High:
		v.Verdict, v.Doubt = e.words.T("sheet.lift.high"), true
	}
	v.Each, v.Limit, v.Index = e.kilograms(l.Hand.Lift.Load), e.kilograms(l.Hand.Limit), liftwords.Index(e.words, l.Hand.Index)
	v.Ends = append(v.Ends, e.equation(e.words.T("sheet.lift.start"), l.Hand.People, r.Origin, r.Destination != nil && !r.AtDestination))
	if r.Destination != nil {
		v.Ends = append(v.Ends, e.equation(e.words.T("sheet.lift.end"), l.Hand.People, *r.Destination, r.AtDestination))
	}
	return v
}

// equation writes the factors by the names of the equation, which are the same in
// every language. A name stays with its number. A team's share comes last.
func (e emitter) equation(where string, people int, l lifting.Limit, lowest bool) equation {
	const usual = len(" × HM\u00a00.625")
	m := l.Multipliers
	terms := make([]byte, 0, 6*usual)
	for _, f := range [...]struct {
		name  string
		value float64
	}{{"HM", m.Horizontal}, {"VM", m.Vertical}, {"DM", m.Distance}, {"AM", m.Asymmetry}, {"FM", m.Frequency}, {"CM", m.Coupling}} {
		terms = append(append(append(terms, " × "...), f.name...), "\u00a0"...)
		terms = append(terms, e.words.Number(f.value, 3)...)
	}
	share, _ := lifting.TeamShare(people) // a team without one is not judged
	if fraction := liftwords.TeamShare(people); fraction != "" {
		terms = append(append(terms, " × "...), fraction...)
	}
	return equation{Where: where, Terms: string(terms), Limit: e.kilograms(share * l.RWL), Lowest: lowest}
}
