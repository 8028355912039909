package check

import (
	"fmt"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
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
						Span: x.AimSpan, Message: fmt.Sprintf("the procedure %s has no aim %d; it states %d", quote(q.Procedure.ID), x.Aim, n),
						Do: "Count the aims in the procedure's front matter from 1, or add one.",
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
	report(diagnostic.Diagnostic{
		Span: q.Target.Span, Message: "the figure " + quote(f.ID) + " shows no " + quote(q.Target.ID),
		Do:  diagnostic.Suggest(q.Target.ID, names, "Name a callout of the figure."),
		See: []diagnostic.Related{{Span: f.Span, Why: "the figure"}},
	})
}

var undefinedCourse = rule{
	Rule: diagnostic.Rule{
		Code: "undefined-course-step", Severity: diagnostic.Error, Title: "Session starts or ends nowhere",
		Wrong: "A course item's from or to names a step that the procedure does not have, or ends before it starts.",
		Why:   "The session would have no first or last step.",
		Do:    "Correct the name of the step.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, c := range lib.Courses {
			for _, s := range c.Sessions {
				for _, item := range s.Items {
					if item.Procedure != nil {
						sessionSteps(item, report)
					}
				}
			}
		}
	},
}

func sessionSteps(item procedure.CourseItem, report func(diagnostic.Diagnostic)) {
	c := referencesOf(item.Procedure, report)
	for _, r := range []procedure.Ref{item.From, item.To} {
		if r.ID != "" {
			c.stepName(r)
		}
	}
	from, to := item.Procedure.Step(item.From.ID), item.Procedure.Step(item.To.ID)
	if from != nil && to != nil && to.Number < from.Number {
		report(diagnostic.Diagnostic{
			Span: item.To.Span, Message: quote(to.ID) + " comes before " + quote(from.ID), Do: "Swap from and to.",
			See: []diagnostic.Related{{Span: item.From.Span, Why: "the item starts here"}},
		})
	}
}
