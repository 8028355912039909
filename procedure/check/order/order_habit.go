package order

import (
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

var orderHabit = Check{
	Rule: diagnostic.Rule{
		Code: "order-habit", Severity: diagnostic.Advice, Title: "Stated order that nothing asks for",
		Wrong: "A step is stated to come after another one, and nothing that the steps do asks for it.",
		Why:   "It may be habit, or a reason that the registers do not know: a condition, a mark, something in the way.",
		Do:    "Keep it if there is a reason, and register the reason if you can.",
	},
	Written: true, Together: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		for _, e := range f.Precedence().Habits() {
			this, other := f.Job.Steps[e.To], f.Job.Steps[e.From]
			for _, ref := range this.After {
				if ref.ID != other.ID {
					continue
				}
				report(diagnostic.Diagnostic{
					Span: ref.Span, Wrong: say.That("step %this comes after %other only because it says so", say.Name(this.ID), say.Name(other.ID)),
					Advice: say.That("Keep it if there is a reason, and register the reason if you can."),
				})
			}
		}
	},
}
