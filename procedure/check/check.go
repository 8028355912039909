// Package check holds the rules that look at the whole model: references here,
// the order of work in the package order. One rule, one file.
package check

import (
	"sync"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/lifts"
	"matchmark/procedure/parallel"
)

// rule is one rule with its documentation.
type rule struct {
	diagnostic.Rule
	run func(lib *procedure.Library, report func(diagnostic.Diagnostic))
	// lift judges one lift of a job, and text the words of a procedure; a rule has one of these or run.
	lift func(l lifts.Lift, report func(diagnostic.Diagnostic))
	text func(f *analysis.Procedure, report func(diagnostic.Diagnostic))
}

// libraryRules are the rules on a whole library, in the order of the messages page; the list is made once.
var libraryRules = sync.OnceValue(func() []rule {
	return append(findingRules(), []rule{
		duplicateRows, undefinedRows, undefinedSteps, undefinedQuestions, oneTarget, undefinedCourse, courseOrder, courseState, sessionEnd, sessionLength, sessionPeople, ticketMissing, wrongThing, countDiffers, noToolFits, toolsFitAlike, unknownDrive, leadersCross, undefinedValues, energyUnstated, energyUnmarked, sourceIncomplete, sourceUnguarded, ownLock, testerMissing, tickedEarly, untrainedProof, figureLacks, untilUnknown, derivedUnknown, unreachable, unusedRows, unusedFigures, unusedTerms,
		uncoveredCautions, unknownVeto, answerDiffers, answerOrder,
		threadDesignation, propertyClass, torqueWindow, frictionMissing, torqueUnit, driveSize, classThread, frictionTreatment, toleranceOdd, unknownToTables, figureOdd,
		patternMissing, patternUnfit, patternRound, tightRing, driveMissing, toolMissing, wrenchMissing, wrenchExact, containerUnfit, containerUnknown, gapLeft,
		idleTool, usedUpUnfit, usedUpShort, revisionMissing, hazardUnread, riskUnread, riskUnrated, protectionShort, handsShort, signalWord,
		gaugeCoarse, limitUnread, liftTold, haspMissing, slingSlides,
		longestAnswer, shuffledAnswer, feedbackMissing, answerInStem, keyTolerance, questionElsewhere, aimUntested, orderEitherWay, passByGuess, quizTime,
		handLift, gearCapacity, slingAngle, slingRating, liftUnknown, eyeUnjudged, idleGeometry,
		readingEase,
	}...)
})

// Library runs the rules, on all processors, and adds what they find to the log.
func Library(lib *procedure.Library, log *diagnostic.Log) {
	lib = withRefittings(lib, log)
	var rules []*rule
	var names []string
	for i := range libraryRules() {
		if r := &libraryRules()[i]; r.run != nil {
			rules, names = append(rules, r), append(names, "rule "+string(r.Code))
		}
	}
	parallel.Each(names, func(i int) {
		rules[i].judge(lib, log)
	})
	names = nil
	for _, p := range lib.Procedures {
		names = append(names, p.File.Name)
	}
	parallel.Each(names, func(i int) {
		f := analysis.New(lib.Procedures[i])
		judgeLifts(f, log)
		judgeText(f, lib.Language, log)
		judgeClaims(f, lib.Language, log)
	})
}

// eachStep makes a rule's run of what it asks of each step as its author wrote it. A procedure
// without its machine is left out: that was said.
func eachStep(ask func(m *procedure.Machine, s *procedure.Step, report func(diagnostic.Diagnostic))) func(*procedure.Library, func(diagnostic.Diagnostic)) {
	return func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, p := range lib.Procedures {
			if p.Machine == nil {
				continue
			}
			for _, s := range p.WrittenSteps() {
				ask(p.Machine, s, report)
			}
		}
	}
}

// Rules documents the rules of this package.
func Rules() []diagnostic.Rule {
	var out []diagnostic.Rule
	for _, r := range libraryRules() {
		out = append(out, r.Rule)
	}
	return append(append(out, wordingRules()...), claimRules()...)
}
