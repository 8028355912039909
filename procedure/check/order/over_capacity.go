package order

import (
	"slices"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/loads"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var overCapacity = Check{
	Rule: diagnostic.Rule{
		Code: "over-capacity", Severity: diagnostic.Error, Title: "Support carries more than its rated capacity",
		Wrong: "What hangs or stands on a support is heavier than its rated capacity: at least the part that it is on and, for all supports together, all that hangs together. Where places are stated, it is the highest load that it may have to take.",
		Why:   "Lifting gear that is overloaded fails without a warning.",
		Do:    "Use a support that is rated for the load, or take parts off before.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			for _, p := range concerned(e) {
				if p.Base {
					continue
				}
				o := f.overloaded(e.After, p)
				if o == nil || f.wasOverloaded(e, o) {
					continue
				}
				report(o.told(e))
				return
			}
		})
	},
}

// wasOverloaded reports whether an event only leaves an overload as it was, which was told then.
func (f *Facts) wasOverloaded(e *state.Event, o *overload) bool {
	for _, p := range concerned(e) {
		if p.Base || e.Before.Part(p).Is != e.After.Part(p).Is {
			continue
		}
		if was := f.overloaded(e.Before, p); was != nil && was.load >= o.load-rounding && slices.Equal(was.supports, o.supports) {
			return true
		}
	}
	return false
}

// overloaded returns what is too much for the supports of the part's group: by the balance where that is known.
func (f *Facts) overloaded(s *state.State, p *state.Part) *overload {
	if hasCentres(s) {
		if b := f.balance(s, p); b.Judged {
			return unbalanced(b)
		}
	}
	return overloaded(s, p)
}

// unbalanced returns the support that may have to take too much; what joints keep from being judged one by one is joint-overloaded.
func unbalanced(b *loads.Balance) *overload {
	if !b.Holds {
		return nil
	}
	for i := range b.Lines {
		l := &b.Lines[i]
		if weakest, kg := l.Weakest(); weakest != nil && !b.Strained && b.Highest(l) > kg+rounding {
			return &overload{supports: []*state.Support{weakest}, load: b.Highest(l), capacity: kg}
		}
		for _, leg := range b.Legs[l] {
			if kg, sling := l.LegCanCarry(); sling != nil && leg.Pull > kg*(1+1e-9) {
				return &overload{supports: []*state.Support{sling}, load: leg.Pull, capacity: kg, leg: true}
			}
		}
	}
	return nil
}

func (o *overload) told(e *state.Event) diagnostic.Diagnostic {
	like := o.supports[0].Capacity
	d := diagnostic.Diagnostic{Span: object(e), Advice: say.That("Use supports that are rated for %load or more.", mass(o.load, like))}
	for _, x := range o.supports {
		d.See = append(d.See, registered(&x.Row))
	}
	d.Wrong = say.That("%supports %supports(carries|carry) %load after step %step, but %supports(is|are) rated for %capacity", supports(o.supports), mass(o.load, like), number(e), mass(o.capacity, like))
	if o.leg {
		d.Wrong = say.That("one leg of %supports has %load after step %step, since the legs do not share alike, but may have %capacity", supports(o.supports), mass(o.load, like), number(e), mass(o.capacity, like))
		d.Advice = say.That("Hang the hook nearer to the middle of the legs, or use a stronger sling.")
	}
	return d
}
