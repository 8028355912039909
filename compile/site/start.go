package site

import "matchmark/compile/page"

// startView is the start page: what there is to learn and to work on.
type startView struct {
	page.Shell
	Courses    []entryView
	Procedures []procedureEntry
	Machines   []entryView
	Quizzes    []entryView
}

// entryView is one line of a list of pages.
type entryView struct {
	Title, Summary, Link string
	// Note is a short fact at the end of the line; may be empty.
	Note string
}

func (e *emitter) emitStart() error {
	v := startView{Shell: e.shell(page.StartPath, page.SiteTitle(e.lib, e.words))}
	v.Body = "start-page"
	v.Styles = []string{"site.css"}
	for _, c := range e.lib.Courses {
		v.Courses = append(v.Courses, entryView{
			Title: c.Title, Summary: c.Summary, Link: page.CoursePath(c),
			Note: e.words.Count("start.sessions", len(c.Sessions)),
		})
	}
	for _, p := range e.lib.Procedures {
		if p.Forth == nil {
			v.Procedures = append(v.Procedures, e.procedureEntry(v.Shell, p))
		}
	}
	for _, m := range e.lib.Machines {
		v.Machines = append(v.Machines, entryView{Title: m.Title, Summary: m.Summary, Link: page.MachinePath(m)})
	}
	for _, q := range e.lib.Quizzes {
		v.Quizzes = append(v.Quizzes, entryView{
			Title: q.Title, Summary: q.Summary, Link: page.QuizPath(q),
			Note: e.words.Count("start.questions", len(q.Questions)),
		})
	}
	return e.write(page.StartPath, "site/start", v)
}
