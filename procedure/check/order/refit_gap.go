package order

import (
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

var refitGap = Check{
	Rule: diagnostic.Rule{
		Code: "refit-gap", Severity: diagnostic.Advice, Title: "Nobody has written how it goes back",
		Wrong: "Steps of the refitting are derived from what the acts of the removal do. What only its words say, how a thing is held, lined up or cleaned, is not in them.",
		Why:   "A learner reads which bolt goes in and not how. The page says that this is still to be written.",
		Do:    "Write these steps: matchmark refitting --procedure ID prints them as source, with a gap for each.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		if f.Out == nil {
			return
		}
		names := say.List{Join: say.And}
		for _, s := range f.Job.Steps {
			if s.Gap {
				names.Parts = append(names.Parts, say.Name(s.ID))
			}
		}
		if len(names.Parts) == 0 {
			return
		}
		report(diagnostic.Diagnostic{
			Span: f.Job.Procedure.Span, Wrong: say.That("%names %names(is|are) derived and %names(says|say) nothing of how", names),
			Advice: say.That("Write them: matchmark refitting --procedure %part prints them as source.", say.Name(f.Out.Job.Procedure.ID)),
		})
	},
}
