package order

import (
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

// unitKg is the mass from which two parts that come apart count as units, each of which needs a hold of its own. It is the project's own choice.
const unitKg = 100

var halfHeld = Check{
	Rule: diagnostic.Rule{
		Code: "half-held", Severity: diagnostic.Warning, Title: "Heavy unit is left on part of what held it",
		Wrong: "Two units of 100 kg or more are taken apart. The one that stays has no support, or stands on one jack alone, and its places are not stated, so nobody knows whether it keeps its balance. The limit is our own choice.",
		Why:   "Each of two coupled units often carries an end of the other one. Without it that end drops.",
		Do:    "Put a support under the end that was held, before the units come apart; or state the places of its centre of mass and of what holds it.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			for _, p := range concerned(e) {
				after := halfOf(e.After, p)
				if after == nil || halfOf(e.Before, p) != nil || hasCentres(e.After) && f.balance(e.After, p).Judged {
					continue
				}
				left := say.That("it stands on %supports alone", supports(after.Carriers))
				if after.Anchored {
					left = say.That("no support is under the end that the %other held", say.Name(after.other.ID))
				}
				report(diagnostic.Diagnostic{
					Span:   object(e),
					Wrong:  say.That("after step %step %parts (%mass) %joined(is|are) apart from the %other, and %left: whether it keeps its balance is not known", number(e), parts(after.Parts), mass(after.Kg, stated(after.Parts)), count(after.Parts), say.Name(after.other.ID), left),
					Advice: say.That("Put a support under it before step %step, or state the places: centre in the row of the part, at in those of its fasteners and of the supports.", number(e)),
					See:    []diagnostic.Related{registered(&after.Parts[0].Row)},
				})
				return
			}
		})
	},
}

// half is a unit that is left of two.
type half struct {
	state.Group
	other *state.Part
}

// halfOf returns the part's group when it is a unit in its place, apart from another one that a fastener joined it to, and neither held
// from below or above beside what is left nor anything but one jack.
func halfOf(s *state.State, p *state.Part) *half {
	if p.Base || s.Part(p).Is != state.InPlace {
		return nil
	}
	g := s.Group(p)
	var bears []*state.Support
	for _, x := range g.Carriers {
		if x.Bears() && !x.Ability().Hands {
			bears = append(bears, x)
		}
	}
	alone := !g.Anchored && len(bears) == 1 && bears[0].Ability().Below && bears[0].Ability().Raises
	if g.Kg < unitKg || len(bears) > 0 && !alone || len(bears) == 0 && !g.Anchored {
		return nil
	}
	for _, q := range g.Parts {
		if q.Seated {
			return nil
		}
		for _, f := range q.Fasteners {
			for _, r := range f.Parts {
				if f.Carries() && !r.Base && !g.Has(r) && r.Kg >= unitKg {
					return &half{Group: g, other: r}
				}
			}
		}
	}
	return nil
}
