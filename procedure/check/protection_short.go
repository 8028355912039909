package check

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/hazard"
	"matchmark/procedure/say"
)

var protectionShort = rule{
	Rule: diagnostic.Rule{
		Code: "protection-short", Severity: diagnostic.Advice, Title: "Fewer pieces of protection than people",
		Wrong: "A step for several people lists what each of them wears, and the register has fewer pieces of it.",
		Why:   "The one who goes without is the one who holds the load.",
		Do:    "Raise the quantity in the register, or say in the step who wears it.",
	},
	run: eachStep(func(m *procedure.Machine, s *procedure.Step, report func(diagnostic.Diagnostic)) {
		for _, r := range s.Tools {
			t := m.Thing(r.ID)
			if s.People < 2 || t == nil || t.Tool == nil || t.Tool.Kind != procedure.Protection || hazard.GearOf(t.Tool.Name).Place == "" {
				continue
			}
			if pieces, limited := t.Tool.Pieces(); limited && pieces < s.People {
				report(diagnostic.Diagnostic{
					Span: t.Row.Span, Wrong: say.That("step %step is for %people people, and of %thing there %pieces(is|are) %pieces", say.Name(s.ID), say.Count(s.People), say.Name(r.ID), say.Count(pieces)),
					Advice: say.That("Raise the quantity of %thing to %people, or plan step %step for fewer.", say.Name(r.ID), say.Count(s.People), say.Name(s.ID)),
					See:    []diagnostic.Related{{Span: s.Span, Says: say.That("the step")}},
				})
			}
		}
	}),
}
