package site

import "matchmark/compile/page"

// startView is the start page: what there is to learn and to work on.
type startView struct {
	page.Shell
	Courses    listView
	Procedures listView
	// Pair are the lists of machines and of quizzes.
	Pair []listView
	// Nothing is true for a library without a procedure.
	Nothing bool
}

func (e *emitter) emitStart() error {
	v := startView{Shell: e.shell(page.StartPath, page.SiteTitle(e.lib, e.words))}
	v.Body = "start-page"
	v.Styles = []string{"site.css"}
	courses := listing{title: e.words.T("start.courses"), folder: page.ListFolder("courses")}
	for _, c := range e.lib.Courses {
		courses.add(c.Title, func(s page.Shell) entryView {
			return entryView{Title: c.Title, Summary: c.Summary, Link: s.Link(page.CoursePath(c)), Note: e.words.Count("start.sessions", len(c.Sessions))}
		})
	}
	procedures := e.procedures(e.words.T("start.procedures"), page.ListFolder("procedures"), nil)
	machines := listing{title: e.words.T("start.machines"), folder: page.ListFolder("machines")}
	for _, m := range e.lib.Machines {
		machines.add(m.Title, func(s page.Shell) entryView {
			return entryView{Title: m.Title, Summary: m.Summary, Link: s.Link(page.MachinePath(m))}
		})
	}
	quizzes := listing{title: e.words.T("start.quizzes"), folder: page.ListFolder("quizzes")}
	for _, q := range e.lib.Quizzes {
		quizzes.add(q.Title, func(s page.Shell) entryView {
			return entryView{Title: q.Title, Summary: q.Summary, Link: s.Link(page.QuizPath(q)), Note: e.words.Count("start.questions", len(q.Questions))}
		})
	}
	v.Nothing = len(procedures.lines) == 0
	var err error
	if v.Courses, err = e.list(v.Shell, "courses", courses); err != nil {
		return err
	}
	if v.Procedures, err = e.list(v.Shell, "procedures", procedures); err != nil {
		return err
	}
	for _, l := range []struct {
		id string
		listing
	}{{"machines", machines}, {"quizzes", quizzes}} {
		view, err := e.list(v.Shell, l.id, l.listing)
		if err != nil {
			return err
		}
		v.Pair = append(v.Pair, view)
	}
	return e.write(page.StartPath, "site/start", v)
}
