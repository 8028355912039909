// Package check holds the rules that look at the whole model: references here,
// the order of work in the package order. One rule, one file.
package check

import (
	"sync"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/facts"
	"matchmark/procedure/lifts"
	"matchmark/procedure/parallel"
)

// rule is one rule with its documentation.
type rule struct {
	diagnostic.Rule
	run func(lib *procedure.Library, report func(diagnostic.Diagnostic))
	// lift judges one lift of a job, and text the words of a procedure; a rule has one of these or run.
	lift func(l lifts.Lift, report func(diagnostic.Diagnostic))
	text func(f *facts.Procedure, report func(diagnostic.Diagnostic))
}

// libraryRules are the rules on a whole library, in the order of the messages page; the list is made once.
var libraryRules = sync.OnceValue(func() []rule {
	return []rule{
		duplicateRows, undefinedRows, undefinedSteps, undefinedQuestions, undefinedCourse, wrongThing, unreachable, unusedRows, unusedFigures, uncoveredCautions, unknownVeto,
		threadDesignation, propertyClass, torqueWindow, driveSize,
		handLift, gearCapacity, slingAngle, liftUnknown,
		readingEase,
	}
})

// Library runs the rules, on all processors, and adds what they find to the log.
func Library(lib *procedure.Library, log *diagnostic.Log) {
	var rules []*rule
	var names []string
	for i := range libraryRules() {
		if r := &libraryRules()[i]; r.run != nil {
			rules, names = append(rules, r), append(names, "rule "+string(r.Code))
		}
	}
	parallel.Each(names, func(i int) {
		rules[i].run(lib, reportTo(log, rules[i]))
	})
	names = nil
	for _, p := range lib.Procedures {
		names = append(names, p.File.Name)
	}
	parallel.Each(names, func(i int) {
		f := facts.Of(lib.Procedures[i])
		judgeLifts(f, log)
		judgeText(f, lib.Language, log)
	})
}

// Rules documents the rules of this package.
func Rules() []diagnostic.Rule {
	var out []diagnostic.Rule
	for _, r := range libraryRules() {
		out = append(out, r.Rule)
	}
	return append(out, wordingRules()...)
}
