package planning

import (
	"fmt"
	"slices"
	"strings"

	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/schedule"
	"matchmark/procedure/sessions"
)

// planView is the session plan of a course.
type planView struct {
	page.Shell
	Subject string
	Facts   []fact
	// Short are the steps for which the course has too few people.
	Short []string
	// Own is the plan by the course's own sessions. Proposed is the split that keeps
	// the rules; nil when there is none, or when it is the course's own.
	Own, Proposed *splitView
	// Same is true when the course's own sessions are the best split already.
	Same      bool
	Obstacles []obstacleView
	Learning  *learningView
	Jobs      []page.Crumb
}

// fact is a line of what was planned with.
type fact struct{ Name, Value string }

// splitView is one way to divide the course into sessions.
type splitView struct {
	ID       string
	Sessions []sessionView
	// Overrun is true when a session does not keep its length with the stated confidence.
	Overrun bool
	// Breaches are sessions that end where it is not safe to stop.
	Breaches []string
	Careful  string // the confidence, as a heading
}

// course writes the plan of a course and the sheets of its sessions.
func (e *emitter) course(c *procedure.Course) error {
	a := newAgenda(c)
	own, err := sessions.As(a.Groups, a.Rules)
	if err != nil {
		return err
	}
	best, err := sessions.Split(a.Items(), a.Rules)
	if err != nil {
		return err
	}
	at := page.PlanPath(c)
	v := planView{Subject: c.Title, Shell: page.NewShell(e.lib, e.words, at, e.words.T("plan.sessions")+": "+c.Title)}
	v.Crumbs = append(v.Crumbs, page.Crumb{Title: c.Title, Link: v.Link(page.CoursePath(c))})
	v.Here, v.Body, v.Styles = e.words.T("plan.sessions"), "plan-page", []string{"site.css", "plan.css"}
	v.Facts = e.facts(a)
	for _, s := range a.Short {
		v.Short = append(v.Short, e.words.T("plan.short", s.Step.Number, s.Step.Title, s.People, c.Pace.People))
	}
	for _, job := range a.Jobs {
		v.Jobs = append(v.Jobs, page.Crumb{Title: e.jobTitle(job), Link: v.Link(page.TimesPath(job))})
	}
	v.Own = e.splitView(v.Shell, a, own, "own")
	v.Same = sameSplit(own, best)
	if !v.Same && len(best.Sessions) > 0 {
		v.Proposed = e.splitView(v.Shell, a, best, "proposed")
	}
	for i, o := range best.Obstacles {
		// A run that is done again says the same again.
		if !slices.ContainsFunc(best.Obstacles[:i], func(b sessions.Obstacle) bool { return o.From != nil && b.From == o.From && b.To == o.To }) {
			v.Obstacles = append(v.Obstacles, e.obstacleView(o))
		}
	}
	v.Learning = e.learningView(a)
	if err := page.Write(e.out, at, planPage(v)); err != nil {
		return err
	}
	if err := e.sessionSheets(a, own, page.SessionPath); err != nil {
		return err
	}
	if v.Proposed == nil {
		return nil
	}
	return e.sessionSheets(a, best, page.ProposedSessionPath)
}

// facts are what the plan was made with.
func (e *emitter) facts(a *agenda) []fact {
	p := a.Course.Pace
	out := []fact{
		{e.words.T("plan.fact.session"), e.words.T("plan.fact.session.value", schedule.Duration(p.Session), a.Rules.Clock(0), a.Rules.Clock(p.Session))},
		{e.words.T("plan.fact.set-up"), schedule.Duration(p.SetUp)},
		{e.words.T("plan.fact.clear-down"), schedule.Duration(p.ClearDown)},
	}
	if p.Break > 0 {
		out = append(out, fact{e.words.T("plan.fact.breaks"), e.words.T("plan.fact.breaks.value", schedule.Duration(p.Break), schedule.Duration(p.BreakEvery))})
	} else {
		out = append(out, fact{e.words.T("plan.fact.breaks"), e.words.T("plan.fact.breaks.none")})
	}
	out = append(out,
		fact{e.words.T("plan.fact.confidence"), e.words.T("plan.fact.confidence.value", e.words.Number(100*p.Confidence, 1))},
		fact{e.words.T("plan.fact.pace"), e.words.T("plan.fact.pace.value", e.words.Number(100*p.CommonPace, 1))},
		fact{e.words.T("plan.fact.people"), e.crewWords(p)},
	)
	if p.Teams > 1 {
		out = append(out, fact{e.words.T("plan.fact.teams"), e.words.T("plan.fact.teams.value", p.Teams)})
	}
	if p.Learning.Rate > 0 {
		out = append(out, fact{e.words.T("plan.fact.learning"), e.words.T("plan.fact.learning."+string(p.Learning.Form), e.words.Number(100*p.Learning.Rate, 1))})
	}
	if names := variantNames(a.Jobs); len(names) > 0 {
		out = append(out, fact{e.words.T("plan.fact.variant"), strings.Join(names, ", ")})
	}
	return out
}

// crewWords says how many people work on a machine, and what trades and tickets they have.
func (e *emitter) crewWords(p procedure.Pace) string {
	out := []string{e.words.Count("plan.people", p.People)}
	for _, person := range p.Crew {
		if names := e.lib.TradeNames(person.Tickets); len(names) > 0 {
			out = append(out, strings.Join(names, ", "))
		}
	}
	return strings.Join(out, " · ")
}

// variantNames lists the variants that were planned with, each once.
func variantNames(jobs []*procedure.Job) []string {
	var out []string
	for _, job := range jobs {
		if job.Variant == nil || len(job.Machine.Variants) < 2 {
			continue
		}
		if name := fmt.Sprintf("%s: %s", job.Machine.Title, job.Variant.Name); !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out
}

func (e *emitter) jobTitle(job *procedure.Job) string {
	if job.Variant == nil {
		return job.Procedure.Title
	}
	return job.Procedure.Title + ", " + job.Variant.Name
}

// sameSplit reports whether two plans of the same items end their sessions at the same places.
func sameSplit(a, b *sessions.Plan) bool {
	return slices.Equal(ends(a), ends(b))
}

// ends lists how many rows of work each session holds, those without work left out.
func ends(p *sessions.Plan) []int {
	var out []int
	for _, s := range p.Sessions {
		n := 0
		for _, r := range s.Rows {
			if r.Kind == sessions.WorkRow {
				n++
			}
		}
		if n > 0 {
			out = append(out, n)
		}
	}
	return out
}
