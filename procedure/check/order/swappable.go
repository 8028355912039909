package order

import (
	"fmt"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
)

var swappable = Check{
	Rule: diagnostic.Rule{
		Code: "swappable", Severity: diagnostic.Advice, Title: "Steps that could change places",
		Wrong: "Neighbouring steps do not depend on each other.",
		Why:   "A trainer may choose the order that teaches better. With people and tools for both, they can be done at the same time.",
		Do:    "Nothing; or state after= where the order matters for a reason that the actions do not show.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		for _, i := range f.Precedence().Swaps() {
			first, second := f.Job.Steps[i], f.Job.Steps[i+1]
			message := fmt.Sprintf("steps %s and %s could change places", first.ID, second.ID)
			if atOnce(f, i, i+1) {
				message += ", or be done at the same time"
			}
			report(diagnostic.Diagnostic{Span: second.Span, Message: message, Do: "State after= if the order matters all the same."})
		}
	},
}

// atOnce reports whether there are people and tools enough to do both steps at the
// same time. A job has as many people as its largest step needs, but two at least.
// Steps that want the same support depend on each other anyway.
func atOnce(f *Facts, i, j int) bool {
	a, b := f.Job.Steps[i], f.Job.Steps[j]
	crew := 2
	for _, s := range f.Job.Steps {
		crew = max(crew, s.People)
	}
	if max(1, a.People)+max(1, b.People) > crew {
		return false
	}
	for _, r := range a.Tools {
		t := f.Job.Machine.Thing(r.ID)
		if t != nil && t.Tool != nil && t.Tool.Single && slices.ContainsFunc(b.Tools, func(q procedure.Ref) bool { return q.ID == r.ID }) {
			return false
		}
	}
	return true
}
