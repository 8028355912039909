package order

import (
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/loads"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var holdsDown = Check{
	Rule: diagnostic.Rule{
		Code: "holds-down", Severity: diagnostic.Advice, Title: "A fastener that is left keeps a heavy part from tipping",
		Wrong: "Places are stated, and a part keeps its balance only because a fastener or joint that is left holds it down; what that may carry is not stated.",
		Why:   "A foot or a mount is made to be pressed, and a lever makes more of a load than it weighs.",
		Do:    "Put a support where the centre of mass is, or beyond it; or state under rated what the fastener may carry.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			balanced(f, e, func(p *state.Part, before, after *loads.Balance) {
				pulled := pulling(after)
				if pulled == nil || after.Group.Kg < state.RestKg || pulling(before) != nil && sameHold(pulling(before).Hold, pulled.Hold) {
					return
				}
				report(diagnostic.Diagnostic{
					Span:   object(e),
					Wrong:  say.That("after step %step %holds must hold %parts (%mass) down with %load, or they tip", number(e), holds([]loads.Hold{pulled.Hold}), parts(after.Group.Parts), mass(after.Group.Kg, stated(after.Group.Parts)), say.That("%number kg", say.Decimal{Value: -pulled.Most, Places: 0})),
					Advice: say.That("Move the support to the other side of the centre of mass, or state under rated what is left may carry."),
				})
			})
		})
	},
}

// pulling returns the first hold that every balance needs to hold down, with no rating stated; nil when there is none.
func pulling(b *loads.Balance) *loads.Share {
	if !b.Holds {
		return nil
	}
	for i := range b.Shares {
		x := &b.Shares[i]
		rated := x.Fastener != nil && !x.Fastener.Rated.IsZero() || x.Joint != nil && !x.Joint.Rated.IsZero()
		if x.Grounded && x.Line == nil && x.Seat == nil && x.Bounded && !rated && x.Most <= -state.RestKg {
			return x
		}
	}
	return nil
}

func sameHold(a, b loads.Hold) bool {
	return a.Fastener == b.Fastener && a.Joint == b.Joint
}
