package check

import (
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/refit/draft"
	"matchmark/procedure/say"
)

var gapLeft = rule{
	Rule: diagnostic.Rule{
		Code: "gap", Severity: diagnostic.Warning, Title: "Still to be written",
		Wrong: "A paragraph begins with ???: matchmark refitting leaves such a gap where only the words of the removal say how a thing is done.",
		Why:   "The learner gets the words of the removal where those of the refitting should stand.",
		Do:    "Write how it goes back, in place of the whole paragraph.",
	},
	run: eachStep(func(_ *procedure.Machine, s *procedure.Step, report func(diagnostic.Diagnostic)) {
		s.EachProse(func(p procedure.Prose) {
			for _, q := range p.Paragraphs() {
				if strings.HasPrefix(q.Text, draft.Gap) {
					report(diagnostic.Diagnostic{
						Span: q.SpanOf(0, len(draft.Gap)), Wrong: say.That("this is still to be written, in step %step", say.Name(s.ID)),
						Advice: say.That("Write how it is done, in place of the paragraph."),
					})
				}
			}
		})
	}),
}
