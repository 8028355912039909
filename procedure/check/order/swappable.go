package order

import (
	"fmt"

	"matchmark/procedure/diagnostic"
)

var swappable = Check{
	Rule: diagnostic.Rule{
		Code: "swappable", Severity: diagnostic.Advice, Title: "Steps that could change places",
		Wrong: "Neighbouring steps do not depend on each other.",
		Why:   "Two people can do them at the same time, and a trainer may choose the order that teaches better.",
		Do:    "Nothing; or state after= where the order matters for a reason that the actions do not show.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		for _, i := range f.Precedence().Swaps() {
			first, second := f.Job.Steps[i], f.Job.Steps[i+1]
			report(diagnostic.Diagnostic{
				Span: second.Span, Message: fmt.Sprintf("steps %s and %s could change places, or be done at the same time", first.ID, second.ID),
				Do: "State after= if the order matters all the same.",
			})
		}
	},
}
