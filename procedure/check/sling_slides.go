package check

import (
	"math"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

// mostFriction is the friction between a sling and a smooth bar that a lift may count on.
//
// Source: 0.2 to 0.3 for textile on dry steel, less with oil or a cloth between; common practice, no source.
const mostFriction = 0.2

var slingSlides = rule{
	Rule: diagnostic.Rule{
		Code: "sling-slides", Severity: diagnostic.Warning, Title: "Slings that slide together on a bar",
		Wrong: "A round part hangs in a sling of two legs or more that is laid under it, as a basket, and whose legs stand so flat that only friction keeps them apart: it takes the tangent of the angle from upright, and 0.2 is what a lift may count on.",
		Why:   "The loops slide to the middle, the bar tips, and it leaves its slings at the low end.",
		Do:    "Choke each leg (hitch choker), or use a spreader beam, so that the legs hang straight down.",
	},
	run: eachStep(func(m *procedure.Machine, s *procedure.Step, report func(diagnostic.Diagnostic)) {
		for _, a := range s.Actions() {
			part := m.Thing(a.Object.ID)
			if a.Verb != procedure.Hang || part == nil || part.Part == nil || !part.Part.Round {
				continue
			}
			for _, r := range a.With {
				sling := m.Thing(r.ID)
				if sling == nil || sling.Support == nil || sling.Support.Hitch != procedure.Basket || sling.Support.Legs < 2 || sling.Support.Angle.IsZero() {
					continue
				}
				angle := sling.Support.Angle.Float("deg")
				wanted := math.Tan((90 - angle) * math.Pi / 180)
				if wanted <= mostFriction {
					continue
				}
				report(diagnostic.Diagnostic{
					Span:   r.Span,
					Wrong:  say.That("%part is round, and %sling lies under it as a basket at %angle°: a friction of %friction would have to keep its legs apart", say.Name(a.Object.ID), say.Name(r.ID), shortest(angle), say.Decimal{Value: wanted, Places: 2}),
					Advice: say.That("Choke each leg: hitch choker. Or use a spreader beam."),
					See:    []diagnostic.Related{{Span: sling.Support.Span, Says: say.That("registered here")}},
				})
			}
		}
	}),
}
