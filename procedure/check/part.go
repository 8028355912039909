package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/diagnostic"
)

// Part runs the rules on a part of a library, but for those that only the whole
// library can answer: UnusedRows, UnusedTerms and NeverShown are for these. A procedure must
// come with its quizzes; a machine, and a course, may come alone.
func Part(lib *procedure.Library, log *diagnostic.Log) {
	var of []*analysis.Procedure
	for _, p := range lib.Procedures {
		of = append(of, analysis.New(p))
	}
	PartOn(lib, of, log)
}

// PartOn is Part with the facts of the part's procedures, which may be there already.
func PartOn(lib *procedure.Library, of []*analysis.Procedure, log *diagnostic.Log) {
	lib = withRefittings(lib, log)
	for i := range libraryRules() {
		r := &libraryRules()[i]
		if r.run != nil && r.Code != unusedRows.Code && r.Code != unusedFigures.Code && r.Code != unusedTerms.Code {
			r.judge(lib, log)
		}
	}
	for _, f := range of {
		judgeLifts(f, log)
		judgeText(f, lib.Language, log)
		judgeClaims(f, lib.Language, log)
	}
}

// UnusedRows reports the rows of a machine that no row and none of its procedures
// use. used holds what UsedBy gives of each of them; nil when there are none.
func UnusedRows(m *procedure.Machine, used [][]string, log *diagnostic.Log) {
	names := map[string]bool{}
	for _, id := range slices.Concat(used...) {
		names[id] = true
	}
	unusedRows.guard(m.Span, log, func(report func(diagnostic.Diagnostic)) { unusedOf(m, names, used != nil, report) })
}

// NeverShown reports a figure that no procedure shows.
func NeverShown(f *procedure.Figure, log *diagnostic.Log) {
	unusedFigures.guard(f.Span, log, func(report func(diagnostic.Diagnostic)) { neverShown(f, report) })
}
