package check

import (
	"math"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
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
func judgeText(f *analysis.Procedure, language string, log *diagnostic.Log) {
	if !wording.Covers(language) {
		return
	}
	diagnostic.GuardWork(say.That("looking at the words"), f.Span, log.Add, func() {
		f.Review(language, func(in procedure.Paragraph, a wording.Advice) {
			log.Add(diagnostic.Diagnostic{
				Code: diagnostic.Code(a.Kind), Severity: diagnostic.Advice,
				Span: in.SpanOf(a.Start, a.End), Wrong: a.Detail, Advice: a.Better,
			})
		})
	})
	readingEase.guard(f.Span, log, func(report func(diagnostic.Diagnostic)) { readingEase.text(f, report) })
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
	text: func(f *analysis.Procedure, report func(diagnostic.Diagnostic)) {
		c := f.Reading()
		ease := c.ReadingEase()
		if c.Words < 100 || math.IsNaN(ease) || ease >= hardestEase {
			return
		}
		report(diagnostic.Diagnostic{
			Span:   f.Span,
			Wrong:  say.That("this procedure reads hard: reading ease %ease, grade %grade, over %words words", say.Decimal{Value: ease, Places: 0}, say.Decimal{Value: c.Grade(), Places: 0}, say.Count(c.Words)),
			Advice: say.That("Use shorter sentences and shorter words."),
		})
	},
}
