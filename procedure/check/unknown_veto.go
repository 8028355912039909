package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/quiz/generate"
	"matchmark/procedure/say"
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
			names := generate.Names(analysis.New(q.Procedure))
			for _, r := range q.Without {
				if !slices.Contains(names, r.ID) {
					unknownName(r, names, report, say.That("no question that could be made is called %name", say.Quote(r.ID)),
						say.That("Take the name from the answer key."))
				}
			}
		}
	},
}
