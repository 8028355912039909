package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/loads"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var tipsOver = Check{
	Rule: diagnostic.Rule{
		Code: "tips-over", Severity: diagnostic.Error, Title: "Part does not stand where it is set down",
		Wrong: "The centre of mass of what is set down lies outside its feet, or outside the places where the stands bear it.",
		Why:   "It falls over as soon as the hook gives slack.",
		Do:    "Set it down on another side, put a stand farther out, or keep it from tipping with a prop.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		eachStanding(f, func(e *state.Event, s loads.Standing) {
			if s.Edge >= 0 {
				return
			}
			report(diagnostic.Diagnostic{
				Span:   object(e),
				Wrong:  say.That("set down in step %step, the %part tips off %supports: its centre of mass lies %far outside what it stands on", number(e), say.Name(e.Part.ID), supports(e.Supports), millimetres(-s.Edge)),
				Advice: say.That("Set it down on another side, move a stand, or name a prop that keeps it from tipping."),
			})
		})
	},
}

var tipsEasily = Check{
	Rule: diagnostic.Rule{
		Code: "tips-easily", Severity: diagnostic.Warning, Title: "Part stands, but tips easily",
		Wrong: "A part that is set down tips over when it is tilted by less than 10°. The limit is our own choice: product standards test at 10°, and none speaks of half-dismantled machines.",
		Why:   "Somebody leans on it, or pulls at a bolt that is stuck.",
		Do:    "Set it down on a wider side, or keep it from tipping with a prop.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		eachStanding(f, func(e *state.Event, s loads.Standing) {
			if s.Edge < 0 || !s.Angled || s.Angle >= loads.CrookedDegrees {
				return
			}
			report(diagnostic.Diagnostic{
				Span:   object(e),
				Wrong:  say.That("set down in step %step, the %part tips over at a tilt of %angle°", number(e), say.Name(e.Part.ID), say.Decimal{Value: s.Shown(), Places: 1}),
				Advice: say.That("Set it down on a wider side, or name a prop that keeps it from tipping."),
			})
		})
	},
}

// eachStanding calls do for every part that is set down and of which it is stated how it stands, unless a prop keeps it from tipping.
func eachStanding(f *Facts, do func(e *state.Event, s loads.Standing)) {
	each(f, func(e *state.Event) {
		if e.Part == nil || e.Action.Verb != procedure.SetDown || e.Before.Part(e.Part).Is == state.Down {
			return
		}
		if s, known := loads.StandingOf(e.After, e.Part); known {
			do(e, s)
		}
	})
}
