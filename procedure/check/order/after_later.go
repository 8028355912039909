package order

import (
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

var afterLater = Check{
	Rule: diagnostic.Rule{
		Code: "after-later", Severity: diagnostic.Error, Title: "Step stated to come after a later one",
		Wrong: "A step says after= of itself, or of a step that stands behind it.",
		Why:   "The order of the file and the stated order disagree, and one of them is wrong.",
		Do:    "Move the step, or correct its after.",
	},
	Written: true, Together: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		for _, b := range f.Precedence().Backward {
			this, other := f.Job.Steps[b.Step], f.Job.Steps[b.After]
			message := say.That("step %this is stated to come after itself", say.Name(this.ID))
			if this != other {
				message = say.That("step %this is stated to come after %other, which stands behind it", say.Name(this.ID), say.Name(other.ID))
			}
			report(diagnostic.Diagnostic{
				Span: b.Ref.Span, Wrong: message, Advice: say.That("Move the step, or correct its after."),
				See: []diagnostic.Related{{Span: other.Span, Says: say.That("that step stands here")}},
			})
		}
	},
}
