package site

import (
	"fmt"
	"html/template"

	"matchmark/compile/page"
	"matchmark/compile/sheet"
	"matchmark/procedure"
	"matchmark/procedure/sessions"
)

// courseView is a course with its sessions.
type courseView struct {
	page.Shell
	Summary  string
	About    template.HTML
	Plan     string // leads to the session plan
	Papers   []sheetLink
	Sessions []sessionView
}

type sessionView struct {
	Number int
	Title  string
	// From and To are times of day.
	From, To string
	Items    []courseItemView
}

// courseItemView is a procedure, or a part of one, or a quiz.
type courseItemView struct {
	Quiz  bool
	Title string
	// Begins is a time of day; empty where nobody knows.
	Begins  string
	Summary string
	// Way is set for a refitting, whose title alone says little.
	Way string
	// Part says which steps are meant; empty for all.
	Part string
	// Prepared says how the machine stands when the item begins, where the course itself does not bring it there.
	Prepared string
	Link     string
	// Machine is where a choice of variants is kept, empty for none.
	Machine string
	// Jobs lead into the step view at the first step that is meant.
	Jobs []jobEntry
}

func (e *emitter) emitCourse(c *procedure.Course) error {
	at := page.CoursePath(c)
	v := courseView{Shell: e.shell(at, c.Title), Summary: c.Summary, About: page.Markup(c.About)}
	v.Plan = v.Link(page.PlanPath(c))
	for _, k := range sheet.PapersOf(e.lib) {
		v.Papers = append(v.Papers, sheetLink{k.Title(e.words), v.Link(k.PathOf(c))})
	}
	v.Body = "course-page"
	v.Styles, v.Scripts = []string{"site.css"}, []string{"variant.js", "going.js"}
	agenda := sessions.AgendaOf(c)
	plan, err := sessions.As(agenda.Groups, agenda.Rules)
	if err != nil {
		return fmt.Errorf("times of course %s: %w", c.ID, err)
	}
	starts := agenda.Starts(plan)
	for i, s := range c.Sessions {
		session := sessionView{Number: i + 1, Title: s.Title}
		if len(agenda.Groups[i]) > 0 {
			session.From, session.To = agenda.Rules.Clock(0), agenda.Rules.Clock(plan.Sessions[i].End)
		}
		for k := range s.Items {
			item := e.courseItem(v.Shell, s.Items[k])
			if start, known := starts[&s.Items[k]]; known {
				item.Begins = agenda.Rules.Clock(start)
			}
			session.Items = append(session.Items, item)
		}
		v.Sessions = append(v.Sessions, session)
	}
	return e.write(at, coursePage(v))
}

func (e *emitter) courseItem(s page.Shell, item procedure.CourseItem) courseItemView {
	if q := item.Quiz; q != nil {
		return courseItemView{Quiz: true, Title: q.Title, Summary: q.Summary, Link: s.Link(page.QuizPath(q))}
	}
	p := item.Procedure
	if p == nil {
		return courseItemView{Title: item.Ref.ID} // the checks have reported it
	}
	v := courseItemView{Title: p.Title, Summary: p.Summary}
	if item.IsRefit && p.Refitting != nil {
		p = p.Refitting
		v.Title, v.Summary, v.Way = p.Title, "", e.words.T("way.back")
	}
	v.Link, v.Jobs = s.Link(page.ProcedurePath(p)), e.jobEntries(s, p)
	if len(v.Jobs) > 1 {
		v.Machine = p.Machine.ID
	}
	from, to := p.Step(item.From.ID), p.Step(item.To.ID)
	switch {
	case from != nil && to != nil:
		v.Part = e.words.T("course.from-to", from.Title, to.Title)
	case from != nil:
		v.Part = e.words.T("course.from", from.Title)
	case to != nil:
		v.Part = e.words.T("course.to", to.Title)
	}
	v.Prepared = e.prepared(item)
	if from != nil {
		for i := range v.Jobs {
			v.Jobs[i].Link += "#" + from.ID
		}
	}
	return v
}

// prepared says how somebody else has prepared the machine for an item; empty when nobody has.
func (e *emitter) prepared(item procedure.CourseItem) string {
	id := item.Prepared.ID
	step := item.Procedure.Step(id)
	if work := item.Work(); item.IsRefit && work != nil && work.Step(id) != nil {
		step = work.Step(id)
	}
	switch {
	case id == "":
		return ""
	case step == nil:
		return e.words.T("course.prepared.whole")
	}
	return e.words.T("course.prepared", step.Title)
}
