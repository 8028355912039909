package check

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

var duplicateRows = rule{
	Rule: diagnostic.Rule{
		Code: "duplicate-row", Severity: diagnostic.Error, Title: "Name or callout number taken twice",
		Wrong: "Two rows of a machine, two figures, two steps of a procedure or two questions of a quiz have one name or number.",
		Why:   "At the bench, number 4 must be one fastener.",
		Do:    "Give one of them another name or number.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, m := range lib.Machines {
			rows, variants, figures, sources := unique(report), unique(report), unique(report), unique(report)
			for _, t := range m.Things() {
				rows(t.Row.ID, t.Row.Span)
			}
			for _, v := range m.Variants {
				variants(v.ID, v.Span)
			}
			for _, x := range m.Energies {
				sources(x.ID, x.Span)
			}
			for _, f := range m.Figures {
				figures(f.ID, f.Span)
			}
		}
		for _, p := range lib.Procedures {
			steps, figures := unique(report), unique(report)
			for _, s := range p.Steps {
				steps(s.ID, s.Span)
			}
			if p.Machine != nil {
				for _, f := range p.Machine.Figures {
					figures(f.ID, f.Span)
				}
			}
			for _, f := range p.Figures {
				figures(f.ID, f.Span)
			}
		}
		for _, q := range lib.Quizzes {
			questions := unique(report)
			for _, x := range q.Questions {
				questions(x.ID, x.Span)
			}
		}
	},
}

// unique returns a function that reports each name it has seen before.
func unique(report func(diagnostic.Diagnostic)) func(id string, span text.Span) {
	seen := map[string]text.Span{}
	return func(id string, span text.Span) {
		if id == "" {
			return
		}
		first, taken := seen[id]
		if !taken {
			seen[id] = span
			return
		}
		report(diagnostic.Diagnostic{
			Span: span, Wrong: say.That("%id is taken already", say.Quote(id)), Advice: say.That("Give one of them another name or number."),
			See: []diagnostic.Related{{Span: first, Says: say.That("taken here")}},
		})
	}
}
