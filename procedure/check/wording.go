package check

import (
	"fmt"
	"math"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/wording"
)

// eachPassage calls f for every paragraph of running text in the library's steps.
func eachPassage(lib *procedure.Library, f func(procedure.Paragraph, wording.Role)) {
	for _, p := range lib.Procedures {
		for _, s := range p.Steps {
			for _, passage := range wording.Passages(s) {
				for _, q := range passage.Prose.Paragraphs {
					f(q, passage.Role)
				}
			}
		}
	}
}

// wordingRule is a rule that gives one kind of the wording package's advice.
func wordingRule(kind wording.Kind, title, wrong, why, do string) rule {
	return rule{
		diagnostic.Rule{Code: diagnostic.Code(kind), Severity: diagnostic.Advice, Title: title, Wrong: wrong, Why: why, Do: do},
		func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
			eachPassage(lib, func(q procedure.Paragraph, role wording.Role) {
				for _, a := range wording.Check(q.Text, role, lib.Language) {
					if a.Kind == kind {
						report(diagnostic.Diagnostic{Span: q.SpanOf(a.Start, a.End), Message: a.Detail, Do: diagnostic.Sentence(a.Better)})
					}
				}
			})
		},
	}
}

var (
	longSentence = wordingRule(wording.LongSentence, "Long sentence",
		"A sentence has more than 20 words in an instruction, or more than 25 elsewhere.",
		"With both hands on a spanner, nobody reads to the end of it.",
		"Split it.")
	severalInstructions = wordingRule(wording.SeveralInstructions, "Several instructions in one sentence",
		"A sentence tells the learner to do more than one thing.",
		"The second thing is the one that is forgotten.",
		"Write one instruction a sentence.")
	vagueWord = wordingRule(wording.VagueWord, "Vague word",
		"A word leaves the learner to guess how much, how tight or how long.",
		"Two learners do two different things.",
		"Say what can be seen or measured.")
	passiveVoice = wordingRule(wording.PassiveVoice, "Nobody does it",
		"A sentence says that something is to be done, and not who does it.",
		"The learner waits for somebody else.",
		"Tell the learner what to do.")
)

// hardestEase is the reading ease below which a procedure is called hard: 60 to 70 is
// plain English by Flesch's scale.
const hardestEase = 60

var readingEase = rule{
	diagnostic.Rule{
		Code: "reading-ease", Severity: diagnostic.Advice, Title: "Hard to read",
		Wrong: "A procedure's Flesch reading ease is below 60, the lower end of plain English.",
		Why:   "Learners for whom the language is not their first are lost before the first bolt.",
		Do:    "Use shorter sentences and shorter words.",
	},
	func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		if !wording.Covers(lib.Language) {
			return
		}
		for _, p := range lib.Procedures {
			c := wording.CountProcedure(p)
			ease := c.ReadingEase()
			if c.Words < 100 || math.IsNaN(ease) || ease >= hardestEase {
				continue
			}
			report(diagnostic.Diagnostic{
				Span:    p.Span,
				Message: fmt.Sprintf("this procedure reads hard: reading ease %.0f, grade %.0f, over %d words", ease, c.Grade(), c.Words),
				Do:      "Use shorter sentences and shorter words.",
			})
		}
	},
}
