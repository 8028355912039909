package check

import (
	"fmt"
	"math"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/facts"
	"matchmark/procedure/wording"
)

// wordingRules documents the wording package's kinds of advice; a code is the kind's name.
func wordingRules() []diagnostic.Rule {
	return []diagnostic.Rule{
		{
			Code: diagnostic.Code(wording.LongSentence), Severity: diagnostic.Advice, Title: "Long sentence",
			Wrong: "A sentence has more than 20 words in an instruction, or more than 25 elsewhere.",
			Why:   "With both hands on a spanner, nobody reads to the end of it.",
			Do:    "Split it.",
		},
		{
			Code: diagnostic.Code(wording.SeveralInstructions), Severity: diagnostic.Advice, Title: "Several instructions in one sentence",
			Wrong: "A sentence tells the learner to do more than one thing.",
			Why:   "The second thing is the one that is forgotten.",
			Do:    "Write one instruction a sentence.",
		},
		{
			Code: diagnostic.Code(wording.VagueWord), Severity: diagnostic.Advice, Title: "Vague word",
			Wrong: "A word leaves the learner to guess how much, how tight or how long.",
			Why:   "Two learners do two different things.",
			Do:    "Say what can be seen or measured.",
		},
		{
			Code: diagnostic.Code(wording.PassiveVoice), Severity: diagnostic.Advice, Title: "Nobody does it",
			Wrong: "A sentence says that something is to be done, and not who does it.",
			Why:   "The learner waits for somebody else.",
			Do:    "Tell the learner what to do.",
		},
	}
}

// judgeText runs the rules on the words of a procedure, which are gone through once.
func judgeText(f *facts.Procedure, language string, log *diagnostic.Log) {
	if !wording.Covers(language) {
		return
	}
	f.Review(language, func(in procedure.Paragraph, a wording.Advice) {
		log.Add(diagnostic.Diagnostic{
			Code: diagnostic.Code(a.Kind), Severity: diagnostic.Advice,
			Span: in.SpanOf(a.Start, a.End), Message: a.Detail, Do: diagnostic.Sentence(a.Better),
		})
	})
	readingEase.text(f, reportTo(log, &readingEase))
}

// hardestEase is the reading ease below which a procedure is called hard: 60 to 70 is
// plain English by Flesch's scale.
const hardestEase = 60

var readingEase = rule{
	Rule: diagnostic.Rule{
		Code: "reading-ease", Severity: diagnostic.Advice, Title: "Hard to read",
		Wrong: "A procedure's Flesch reading ease is below 60, the lower end of plain English.",
		Why:   "Learners for whom the language is not their first are lost before the first bolt.",
		Do:    "Use shorter sentences and shorter words.",
	},
	text: func(f *facts.Procedure, report func(diagnostic.Diagnostic)) {
		c := f.Reading()
		ease := c.ReadingEase()
		if c.Words < 100 || math.IsNaN(ease) || ease >= hardestEase {
			return
		}
		report(diagnostic.Diagnostic{
			Span:    f.Span,
			Message: fmt.Sprintf("this procedure reads hard: reading ease %.0f, grade %.0f, over %d words", ease, c.Grade(), c.Words),
			Do:      "Use shorter sentences and shorter words.",
		})
	},
}
