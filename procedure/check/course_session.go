package check

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/schedule"
	"matchmark/procedure/sessions"
)

var sessionEnd = rule{
	Rule: diagnostic.Rule{
		Code: "session-end", Severity: diagnostic.Error, Title: "Item of a course ends where nobody may stop",
		Wrong: "An item ends within its procedure at a step that is no safe stop, and nothing in the session carries on with the next step.",
		Why:   "The class goes home, or to a quiz, with a load on the hook or a part on its last bolt.",
		Do:    "End the item at a safe stop, or carry on in the same session.",
	},
	run: eachCourse(func(c *procedure.Course, report func(diagnostic.Diagnostic)) {
		groups := sessions.AgendaOf(c)
		for i, items := range groups.Groups {
			breaches, err := sessions.BreachesIn(items)
			if err != nil {
				continue // an item whose ends are named wrongly was reported
			}
			for _, b := range breaches {
				item := groups.Source(i, b.Item)
				at := item.Ref.Span
				if item.To.ID != "" {
					at = item.To.Span
				}
				d := diagnostic.Diagnostic{
					Span: at, Wrong: say.That("this ends after step %number %step, which is no safe stop", say.Step(b.Step.Number), say.Quote(b.Step.ID)),
					Advice: say.That("End at a step that is a safe stop, or carry on in the same session."),
					See:    []diagnostic.Related{{Span: b.Step.Span, Says: say.That("the step")}},
				}
				if b.Hangs != nil {
					d.Wrong = say.That("this ends after step %number %step, and the %part hangs there", say.Step(b.Step.Number), say.Quote(b.Step.ID), say.Name(b.Hangs.ID))
					d.Advice = say.That("Carry on in the same session until the %part is set down, or held by what is tight.", say.Name(b.Hangs.ID))
				}
				report(d)
			}
		}
	}),
}

// SessionLength is the code of a session that is too short for its work, which a plan can mend.
const SessionLength = "session-length"

var sessionLength = rule{
	Rule: diagnostic.Rule{
		Code: SessionLength, Severity: diagnostic.Error, Title: "Session is too short for its work",
		Wrong: "The expected times of a session's items alone add up to more than the session. Set-up, breaks, proofs after a stop and clear-down come on top; the plan has them.",
		Why:   "The class is in the middle of the work when the time is up.",
		Do:    "State a longer `session:`, or move items to another session.",
	},
	run: eachCourse(func(c *procedure.Course, report func(diagnostic.Diagnostic)) {
		a := sessions.AgendaOf(c)
		plan, err := sessions.As(a.Groups, a.Rules)
		if err != nil {
			return // reported where it is stated
		}
		for i, s := range plan.Sessions {
			needs := 0.0
			for _, row := range s.Rows {
				if row.Kind == sessions.WorkRow {
					needs += row.End - row.Start
				}
			}
			if needs < a.Rules.Length {
				continue
			}
			report(diagnostic.Diagnostic{
				Span: c.Sessions[i].Span, Wrong: say.That("the work alone of this session takes %needs, and the session lasts %length", say.Word(schedule.Duration(needs)), say.Word(schedule.Duration(a.Rules.Length))),
				Advice: say.That("State a longer `session:`, or move items to another session. `matchmark plan` proposes a split."),
			})
		}
	}),
}

var sessionPeople = rule{
	Rule: diagnostic.Rule{
		Code: "session-people", Severity: diagnostic.Warning, Title: "Step takes more people than the course has",
		Wrong: "A step of a course's items takes more people than the course states for one machine.",
		Why:   "Somebody lifts alone what two have to lift.",
		Do:    "State more `people:`, or leave the step to another course.",
	},
	run: eachCourse(func(c *procedure.Course, report func(diagnostic.Diagnostic)) {
		a := sessions.AgendaOf(c)
		if len(a.Short) == 0 {
			return
		}
		most := 0
		d := diagnostic.Diagnostic{Span: c.Span}
		for _, s := range a.Short {
			if d.See = append(d.See, diagnostic.Related{Span: s.Step.Span, Says: say.That("step %step takes %people people", say.Step(s.Step.Number), say.Count(s.People))}); s.People > most {
				most = s.People
			}
		}
		d.Wrong = say.That("%count(step takes|steps take) more people than the %people that this course has on a machine", say.Count(len(a.Short)), say.Count(c.Pace.People))
		d.Advice = say.That("Write `people: %most`.", say.Count(most))
		report(d)
	}),
}
