package order

import (
	"slices"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/loads"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var jointOverloaded = Check{
	Rule: diagnostic.Rule{
		Code: "joint-overloaded", Severity: diagnostic.Error, Title: "What is left in carries more than it is rated for",
		Wrong: "Places and ratings are stated, and no balance keeps every fastener, joint and support within its rating.",
		Why:   "The bolts that are left were made to hold their share, not all of it.",
		Do:    "Put a support on that takes the rest, or keep more fasteners in.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			balanced(f, e, func(p *state.Part, before, after *loads.Balance) {
				if !after.Overrated || before.Overrated && slices.Equal(before.Group.Parts, after.Group.Parts) {
					return
				}
				d := diagnostic.Diagnostic{Span: object(e), Advice: say.That("Before step %step, put a support on that takes the rest, or keep more in.", number(e))}
				if len(after.Beyond) == 0 {
					d.Wrong = say.That("after step %step nothing balances %parts (%mass) without more load on some fastener or support than it is rated for", number(e), parts(after.Group.Parts), mass(after.Group.Kg, stated(after.Group.Parts)))
				} else {
					d.Wrong = say.That("after step %step %holds must carry more of %parts (%mass) than rated", number(e), holds(after.Beyond), parts(after.Group.Parts), mass(after.Group.Kg, stated(after.Group.Parts)))
				}
				for _, h := range after.Beyond {
					switch {
					case h.Fastener != nil:
						d.See = append(d.See, registered(&h.Fastener.Row))
					case h.Joint != nil:
						d.See = append(d.See, registered(&h.Joint.Row))
					case h.Line != nil:
						d.See = append(d.See, registered(&h.Line.Supports[0].Row))
					}
				}
				report(d)
			})
		})
	},
}
