package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/facts"
	"matchmark/procedure/quiz/generate"
)

var unknownVeto = rule{
	Rule: diagnostic.Rule{
		Code: "unknown-veto", Severity: diagnostic.Warning, Title: "Left out what is not there",
		Wrong: "A quiz leaves out a made question by a name that none has.",
		Why:   "The question that was meant is asked all the same.",
		Do:    "Correct the name; the answer key shows the names of made questions.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, q := range lib.Quizzes {
			if len(q.Without) == 0 || q.Procedure == nil {
				continue
			}
			names := generate.Names(facts.Of(q.Procedure))
			for _, r := range q.Without {
				if !slices.Contains(names, r.ID) {
					report(diagnostic.Diagnostic{
						Span: r.Span, Message: "no question that could be made is called " + quote(r.ID),
						Do: diagnostic.Suggest(r.ID, names, "Take the name from the answer key."),
					})
				}
			}
		}
	},
}
