package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/hazard"
	"matchmark/procedure/say"
)

var riskUnrated = rule{
	Rule: diagnostic.Rule{
		Code: "risk-unrated", Severity: diagnostic.Advice, Title: "Hazard without a rating",
		Wrong: "The library makes risk assessments and states a matrix, and a row with a hazard, or a source of energy, does not rate what is left of it.",
		Why:   "Its place on the risk assessment stays empty: each trainer rates it anew, by hand.",
		Do:    "Fill in the column risk: a harm and a chance of the library's matrix.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		if lib.Matrix.Empty() || !slices.Contains(lib.Papers, procedure.RiskPaper) {
			return
		}
		for _, m := range lib.Machines {
			reportUnrated(m, &lib.Matrix, report)
		}
	},
}

// reportUnrated names all rows of a machine that nobody rated at the first of them.
func reportUnrated(m *procedure.Machine, matrix *procedure.RiskMatrix, report func(diagnostic.Diagnostic)) {
	names := say.List{Join: say.And}
	var first *procedure.Row
	unrated := func(row *procedure.Row) {
		if m.Taken(row.Span) {
			return
		}
		if first == nil {
			first = row
		}
		names.Parts = append(names.Parts, say.Name(row.ID))
	}
	for _, t := range m.Things() {
		if t.Tool == nil && t.Hazard() != "" && t.Hazard() != hazard.None && t.Risk() == "" {
			unrated(t.Row)
		}
	}
	for _, x := range m.Energies {
		if x.Risk == "" {
			unrated(&x.Row)
		}
	}
	if first != nil {
		report(diagnostic.Diagnostic{Span: first.Span, Wrong: say.That("nobody has rated what is left of the hazards of %things", names), Advice: matrixWords(matrix)})
	}
}
