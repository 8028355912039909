// Package check holds the rules that look at the whole model: references here,
// the order of work in the package order. One rule, one file.
package check

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
)

// rule is one rule with its documentation.
type rule struct {
	diagnostic.Rule
	run func(lib *procedure.Library, report func(diagnostic.Diagnostic))
}

// libraryRules lists the rules on a whole library, in the order of the messages page.
func libraryRules() []rule {
	return []rule{
		duplicateRows, undefinedRows, undefinedSteps, undefinedQuestions, undefinedCourse, wrongThing, unreachable, unusedRows, unusedFigures,
		threadDesignation, propertyClass, torqueWindow, driveSize,
		handLift, gearCapacity, slingAngle, liftUnknown,
		longSentence, severalInstructions, vagueWord, passiveVoice, readingEase,
	}
}

// Library runs the rules and adds what they find to the log.
func Library(lib *procedure.Library, log *diagnostic.Log) {
	for _, r := range libraryRules() {
		r.run(lib, func(d diagnostic.Diagnostic) {
			d.Code, d.Severity = r.Code, r.Severity
			log.Add(d)
		})
	}
}

// Rules documents the rules of this package.
func Rules() []diagnostic.Rule {
	var out []diagnostic.Rule
	for _, r := range libraryRules() {
		out = append(out, r.Rule)
	}
	return out
}
