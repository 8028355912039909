package check

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

var oneTarget = rule{
	Rule: diagnostic.Rule{
		Code: "one-target", Severity: diagnostic.Warning, Title: "Only one thing to point at",
		Wrong: "A question asks the learner to point at a thing on a figure, and the figure shows nothing else to point at.",
		Why:   "There is one answer to give, and it is right: the points are a present.",
		Do:    "Take a figure with three things or more, or ask in another way.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, q := range lib.Quizzes {
			if q.Procedure == nil || q.Procedure.Machine == nil {
				continue
			}
			for _, x := range q.Questions {
				f := q.Procedure.Figure(x.Figure.ID)
				if x.Kind != procedure.PointAnswer || f == nil {
					continue
				}
				if shown := targets(q.Procedure.Machine, f); len(shown) == 1 && shown[x.Target.ID] {
					report(diagnostic.Diagnostic{
						Span: x.Figure.Span, Wrong: say.That("the figure %figure shows nothing but %target, so there is only one answer to give", say.Quote(f.ID), say.Quote(x.Target.ID)),
						Advice: say.That("Take a figure with three things or more, or ask in another way."),
						See:    []diagnostic.Related{{Span: f.Span, Says: say.That("the figure")}},
					})
				}
			}
		}
	},
}

// targets are the machine's things that a figure's balloons name: several balloons can name one.
func targets(m *procedure.Machine, f *procedure.Figure) map[string]bool {
	out := map[string]bool{}
	for _, b := range f.Balloons {
		if m.Thing(b.Ref.ID) != nil {
			out[b.Ref.ID] = true
		}
	}
	return out
}
