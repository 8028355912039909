package order

import (
	"matchmark/procedure/diagnostic"
)

var afterLater = Check{
	Rule: diagnostic.Rule{
		Code: "after-later", Severity: diagnostic.Error, Title: "Step stated to come after a later one",
		Wrong: "A step says after= of itself, or of a step that stands behind it.",
		Why:   "The order of the file and the stated order disagree, and one of them is wrong.",
		Do:    "Move the step, or correct its after.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		for _, b := range f.Precedence().Backward {
			this, other := f.Job.Steps[b.Step], f.Job.Steps[b.After]
			message := "step " + this.ID + " is stated to come after itself"
			if this != other {
				message = "step " + this.ID + " is stated to come after " + other.ID + ", which stands behind it"
			}
			report(diagnostic.Diagnostic{
				Span: b.Ref.Span, Message: message, Do: "Move the step, or correct its after.",
				See: []diagnostic.Related{{Span: other.Span, Why: "that step stands here"}},
			})
		}
	},
}
