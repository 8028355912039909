package check

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

var riskUnread = rule{
	Rule: diagnostic.Rule{
		Code: "risk-unread", Severity: diagnostic.Error, Title: "Rating that the matrix does not have",
		Wrong: "A column risk holds words that are no harm and chance of the library's matrix, or the library has no matrix.",
		Why:   "The risk assessment would leave the place empty, and the author believes that it is rated.",
		Do:    "Write a harm and a chance of the matrix, with a comma between them; the matrix stands in library.yaml.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, m := range lib.Machines {
			judge := func(row *procedure.Row, risk string) {
				if risk == "" || m.Taken(row.Span) {
					return
				}
				if _, ok := lib.Matrix.Rate(risk); !ok {
					report(diagnostic.Diagnostic{Span: row.Span, Wrong: say.That("%thing has the risk %risk, which the library's matrix does not have", say.Name(row.ID), say.Quote(risk)), Advice: matrixWords(&lib.Matrix)})
				}
			}
			for _, t := range m.Things() {
				judge(t.Row, t.Risk())
			}
			for _, x := range m.Energies {
				judge(&x.Row, x.Risk)
			}
		}
	},
}

func matrixWords(m *procedure.RiskMatrix) say.Text {
	if m.Empty() {
		return say.That("Write chances and a matrix into library.yaml, or leave the cell empty.")
	}
	words := func(all []string) say.List {
		l := say.List{Join: say.Or}
		for _, w := range all {
			l.Parts = append(l.Parts, say.Name(w))
		}
		return l
	}
	return say.That("Write a harm and a chance, such as %example. Harms: %harms. Chances: %chances.", say.Quote(m.Harms[0]+", "+m.Chances[0]), words(m.Harms), words(m.Chances))
}
