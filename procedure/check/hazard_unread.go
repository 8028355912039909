package check

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/hazard"
	"matchmark/procedure/say"
)

var hazardUnread = rule{
	Rule: diagnostic.Rule{
		Code: "hazard-unread", Severity: diagnostic.Advice, Title: "Hazard of no known kind",
		Wrong: "A column hazard or against holds words in which no kind of hazard is known.",
		Why:   "No protection is looked for, and the row looks as if it had been checked.",
		Do:    "Use one of the words that the language page lists, alone or in a sentence of your own.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, m := range lib.Machines {
			for _, t := range m.Things() {
				words := t.Hazard()
				if t.Tool != nil {
					words = t.Tool.Against
				}
				if words == "" || words == hazard.None || m.Taken(t.Row.Span) || len(hazard.Read(words)) > 0 {
					continue
				}
				report(diagnostic.Diagnostic{
					Span: t.Row.Span, Wrong: say.That("no kind of hazard is known in %words, so no protection is looked for", say.Quote(words)),
					Advice: say.That("Use a word such as %words.", say.Each[say.Word](say.Or, hazard.Kinds)),
				})
			}
		}
	},
}
