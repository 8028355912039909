package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/facts"
)

// Part runs the rules on a part of a library, but for those that only the whole
// library can answer: UnusedRows and NeverShown are for these. A procedure must
// come with its quizzes; a machine, and a course, may come alone.
func Part(lib *procedure.Library, log *diagnostic.Log) {
	var of []*facts.Procedure
	for _, p := range lib.Procedures {
		of = append(of, facts.Of(p))
	}
	PartOn(lib, of, log)
}

// PartOn is Part with the facts of the part's procedures, which may be there already.
func PartOn(lib *procedure.Library, of []*facts.Procedure, log *diagnostic.Log) {
	for i := range libraryRules() {
		r := &libraryRules()[i]
		if r.run != nil && r.Code != unusedRows.Code && r.Code != unusedFigures.Code {
			r.run(lib, reportTo(log, r))
		}
	}
	for _, f := range of {
		judgeLifts(f, log)
		judgeText(f, lib.Language, log)
	}
}

// UnusedRows reports the rows of a machine that no row and none of its procedures
// use. used holds what UsedBy gives of each of them; nil when there are none.
func UnusedRows(m *procedure.Machine, used [][]string, log *diagnostic.Log) {
	names := map[string]bool{}
	for _, id := range slices.Concat(used...) {
		names[id] = true
	}
	unusedOf(m, names, used != nil, reportTo(log, &unusedRows))
}

// NeverShown reports a figure that no procedure shows.
func NeverShown(f *procedure.Figure, log *diagnostic.Log) {
	neverShown(f, reportTo(log, &unusedFigures))
}

// reportTo adds what a rule finds to the log.
func reportTo(log *diagnostic.Log, r *rule) func(diagnostic.Diagnostic) {
	return func(d diagnostic.Diagnostic) {
		d.Code, d.Severity = r.Code, r.Severity
		log.Add(d)
	}
}
