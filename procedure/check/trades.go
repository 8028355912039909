package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/schedule"
	"matchmark/procedure/sessions"
)

var ticketMissing = rule{
	Rule: diagnostic.Rule{
		Code: "ticket-missing", Severity: diagnostic.Error, Title: "Nobody in the course may do a step",
		Wrong: "A step of a course's items takes somebody with a trade or ticket, and the course's crew does not have the people for it: one for each trade that the step names. Or a trade in the crew is not in library.yaml.",
		Why:   "Somebody without the ticket would do it, or the class waits for somebody who has it.",
		Do:    "Write in the course who is there, `crew: [electrician, fitter]`, or leave the step to another course.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, c := range lib.Courses {
			for _, p := range c.Pace.Crew {
				for _, r := range p.Tickets {
					knownTrade(lib.Trades, r, report)
				}
			}
			ticketsOf(c, report)
		}
	},
}

// ticketsOf reports the steps of a course that its crew cannot do.
func ticketsOf(c *procedure.Course, report func(diagnostic.Diagnostic)) {
	people := schedule.TicketsOf(c.Pace.Crew)
	for _, job := range sessions.AgendaOf(c).Jobs {
		for _, s := range job.Steps {
			trades := s.Trades()
			if len(trades) == 0 || schedule.CanDo(people, trades, s.Crew()) || len(people) >= len(trades) && s.Crew() > len(people) && schedule.CanDo(people, trades, len(trades)) {
				continue // too few people is another rule's
			}
			missing := slices.IndexFunc(trades, func(r procedure.Ref) bool {
				return !slices.ContainsFunc(c.Pace.Crew, func(p procedure.Person) bool { return p.Has(r.ID) })
			})
			d := diagnostic.Diagnostic{Span: c.Span, See: []diagnostic.Related{{Span: s.Span, Says: say.That("the step")}}}
			switch {
			case len(people) == 0:
				d.Wrong = say.That("step %step takes somebody with the ticket %ticket, and this course does not say who is there", say.Name(s.ID), say.Quote(trades[0].ID))
			case missing >= 0:
				d.Wrong = say.That("nobody in the crew has the ticket %ticket, which step %step takes", say.Quote(trades[missing].ID), say.Name(s.ID))
			default:
				d.Wrong = say.That("step %step takes one person for each of %count trades, and too few of the crew have them", say.Name(s.ID), say.Count(len(trades)))
			}
			d.Advice = say.That("Write who is there, such as crew: [%ticket], or leave the step to another course.", say.Name(trades[max(missing, 0)].ID))
			report(d)
			return
		}
	}
}
