package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/hazard"
	"matchmark/procedure/say"
)

// Source: ANSI Z535.6, notice is for practices not related to physical injury (from memory).
var signalWord = rule{
	Rule: diagnostic.Rule{
		Code: "signal-word", Severity: diagnostic.Advice, Title: "A notice where people get hurt",
		Wrong: "A caution with the signal word notice speaks of an injury, or is about a thing whose row states a hazard to people.",
		Why:   "By ANSI Z535.6 a notice is about damage to things, and it is read like one.",
		Do:    "Write caution for a small injury, warning for a serious one, danger where somebody can die.",
	},
	run: eachStep(func(m *procedure.Machine, s *procedure.Step, report func(diagnostic.Diagnostic)) {
		for _, b := range s.Blocks {
			c := b.Shows().Warning
			if c == nil || c.Signal != procedure.Notice {
				continue
			}
			if words := c.Prose.Plain(); hazard.Bodily(words) {
				report(diagnostic.Diagnostic{Span: c.Span, Wrong: say.That("this notice speaks of people who get hurt, and a notice is about things"), Advice: say.That("Write caution, warning or danger.")})
				continue
			}
			for _, r := range c.About {
				if t := m.Thing(r.ID); t != nil && t.Fluid != nil && slices.ContainsFunc(hazard.Needs(t.Fluid.Hazard), func(n hazard.Need) bool { return n.Place != hazard.Floor }) {
					report(diagnostic.Diagnostic{Span: c.Span, Wrong: say.That("this notice is about %thing, which hurts people: %hazard", say.Name(r.ID), say.Quote(t.Fluid.Hazard)),
						Advice: say.That("Write caution, warning or danger."), See: []diagnostic.Related{{Span: t.Row.Span, Says: say.That("registered here")}}})
					break
				}
			}
		}
	}),
}
