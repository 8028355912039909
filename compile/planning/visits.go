package planning

import (
	"matchmark/procedure"
	"matchmark/procedure/room"
	"matchmark/procedure/schedule"
	"matchmark/procedure/sessions"
)

// visitsView is where the trainer must be when, with several teams.
type visitsView struct {
	// Lead says how many teams there are and how far apart they start.
	Lead string
	Rows []visitRow
	// Clashes are tools of which there is only one and that two teams want at once.
	Clashes []string
}

// visitRow is a hold point of a team.
type visitRow struct {
	Due, Team, Step string
	// Wait says that the team waits, since the trainer is with another; empty when it does not.
	Wait string
}

// agenda is a course as it is planned.
type agenda struct{ *sessions.Agenda }

func newAgenda(c *procedure.Course) *agenda { return &agenda{sessions.AgendaOf(c)} }

// class is a session's teams, as far apart as suits the trainer.
func (a *agenda) class(s *sessions.Session) room.Class {
	return room.Stagger(s, a.Course.Pace.Teams, a.Rules.Length, room.Signing)
}

// visits plans the trainer's way through a session; nil for one team.
func (e *emitter) visits(a *agenda, s *sessions.Session) *visitsView {
	teams := a.Course.Pace.Teams
	if teams < 2 {
		return nil
	}
	c := a.class(s)
	v := &visitsView{Lead: e.words.T("plan.visits.together", teams)}
	if c.Apart > 0 {
		v.Lead = e.words.T("plan.visits.apart", teams, schedule.Duration(c.Apart))
	}
	visits := c.Visits()
	clashes := room.Clashes(visits, room.Signing)
	for _, visit := range visits {
		row := visitRow{
			Due: a.Rules.Clock(visit.Due), Team: e.words.T("plan.visits.team", visit.Team),
			Step: e.words.T("plan.step", visit.Step.Number, visit.Step.Title),
		}
		if len(clashes) > 0 && clashes[0].Second == visit {
			row.Wait = e.words.T("plan.visits.wait", schedule.Duration(clashes[0].Wait), clashes[0].First.Team)
			clashes = clashes[1:]
		}
		v.Rows = append(v.Rows, row)
	}
	for _, x := range c.Shared() {
		v.Clashes = append(v.Clashes, e.words.T("plan.visits.shared", a.Rules.Clock(x.At), x.Tool.Name, x.First, x.Second))
	}
	if len(v.Rows) == 0 && len(v.Clashes) == 0 {
		return nil
	}
	return v
}
