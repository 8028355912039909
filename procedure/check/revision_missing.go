package check

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

var revisionMissing = rule{
	Rule: diagnostic.Rule{
		Code: "revision-missing", Severity: diagnostic.Advice, Title: "Document without a revision",
		Wrong: "A drawing or another document is registered, and its row does not say which revision holds.",
		Why:   "An old print in the drawer has other torques than the new one, and looks the same.",
		Do:    "Write the revision, or its date, into the column revision.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, m := range lib.Machines {
			for _, t := range m.Tools {
				if t.Kind == procedure.Document && t.Revision == "" {
					report(diagnostic.Diagnostic{
						Span: t.Span, Wrong: say.That("%document is a document, and nothing says which revision of it holds", say.Name(t.ID)),
						Advice: say.That("Write the revision, or its date, into the column revision."),
					})
				}
			}
		}
	},
}
