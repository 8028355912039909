package check

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

var undefinedQuestions = rule{
	Rule: diagnostic.Rule{
		Code: "undefined-question-reference", Severity: diagnostic.Error, Title: "Question about a thing that is not there",
		Wrong: "A question names a step, thing, figure or callout that its procedure does not have, or points at a callout that its figure does not show.",
		Why:   "There would be nothing to point at.",
		Do:    "Correct the name.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, q := range lib.Quizzes {
			if q.Procedure == nil || q.Procedure.Machine == nil {
				continue
			}
			c := referencesOf(q.Procedure, report)
			for _, x := range q.Questions {
				if x.Step.ID != "" {
					c.stepName(x.Step)
				}
				for _, r := range x.About {
					lookUp(q.Procedure.Machine, r, report, anyThing...)
				}
				if n := len(q.Procedure.Aims); x.Aim > n {
					report(diagnostic.Diagnostic{
						Span: x.AimSpan, Wrong: say.That("the procedure %procedure has no aim %aim; it states %number", say.Quote(q.Procedure.ID), say.Count(x.Aim), say.Count(n)),
						Advice: say.That("Count the aims in the procedure's front matter from 1, or add one."),
					})
				}
				c.figure(x.Figure)
				if x.Target.ID != "" {
					pointTarget(q.Procedure, x, report)
				}
			}
		}
	},
}

// pointTarget reports a target that the question's figure has no balloon for.
func pointTarget(p *procedure.Procedure, q *procedure.Question, report func(diagnostic.Diagnostic)) {
	f := p.Figure(q.Figure.ID)
	if f == nil {
		return
	}
	var names []string
	for _, b := range f.Balloons {
		if b.Ref.ID == q.Target.ID {
			return
		}
		names = append(names, b.Ref.ID)
	}
	d := diagnostic.Diagnostic{
		Span: q.Target.Span, Wrong: say.That("the figure %figure shows no %target", say.Quote(f.ID), say.Quote(q.Target.ID)),
		See: []diagnostic.Related{{Span: f.Span, Says: say.That("the figure")}},
	}
	d.Advice, d.Fixes = diagnostic.Suggest(q.Target.Span, q.Target.ID, names, say.That("Name a callout of the figure."))
	report(d)
}

var undefinedCourse = rule{
	Rule: diagnostic.Rule{
		Code: "undefined-course-step", Severity: diagnostic.Error, Title: "Session starts or ends nowhere",
		Wrong: "A course item's from or to names a step that the procedure does not have, or ends before it starts.",
		Why:   "The session would have no first or last step.",
		Do:    "Correct the name of the step.",
	},
	run: eachCourse(func(c *procedure.Course, report func(diagnostic.Diagnostic)) {
		for _, s := range c.Sessions {
			for _, item := range s.Items {
				if item.Work() != nil {
					sessionSteps(item, report)
				}
			}
		}
	}),
}

func sessionSteps(item procedure.CourseItem, report func(diagnostic.Diagnostic)) {
	work := item.Work()
	c := referencesOf(work, report)
	for _, r := range []procedure.Ref{item.From, item.To} {
		if r.ID != "" {
			c.stepName(r)
		}
	}
	if r := item.Prepared; r.ID != "" && r.ID != procedure.PreparedWhole && item.Procedure.Step(r.ID) == nil {
		c.stepName(r)
	}
	from, to := place(work, item.From.ID), place(work, item.To.ID)
	if from >= 0 && to >= 0 && to < from {
		report(diagnostic.Diagnostic{
			Span: item.To.Span, Wrong: say.That("%to comes before %from", say.Quote(item.To.ID), say.Quote(item.From.ID)), Advice: say.That("Swap from and to."),
			See: []diagnostic.Related{{Span: item.From.Span, Says: say.That("the item starts here")}},
		})
	}
}
