package site

import (
	"matchmark/compile/page"
	"matchmark/procedure"
)

// startView is the start page: what there is to learn and to work on.
type startView struct {
	page.Shell
	Courses    listView
	Procedures listView
	// Pair are the lists of machines and of quizzes.
	Pair []listView
	// Glossary is the line of the glossary; empty for none.
	Glossary listView
	// Nothing is true for a library without a procedure.
	Nothing bool
}

// shelves are the lists of the start page.
type shelves struct {
	courses, procedures, machines, quizzes, glossary *listing
}

func (e *emitter) newShelves() shelves {
	return shelves{
		courses:    newListing(e.words.T("start.courses"), page.ListFolder("courses")),
		procedures: newListing(e.words.T("start.procedures"), page.ListFolder("procedures")),
		machines:   newListing(e.words.T("start.machines"), page.ListFolder("machines")),
		quizzes:    newListing(e.words.T("start.quizzes"), page.ListFolder("quizzes")),
		glossary:   newListing(e.words.T("start.glossary"), page.ListFolder("glossary")),
	}
}

// shelved is a line and the list that it belongs to.
type shelved struct {
	list *listing
	line *line
}

// shelved are the lines of what a library holds. A refitting stands in the line of its procedure.
func (e *emitter) shelved(on shelves, owner string) []shelved {
	var out []shelved
	put := func(l *listing, at rank, entry entryView) { out = append(out, shelved{l, newLine(at, entry)}) }
	for i, c := range e.lib.Courses {
		put(on.courses, rank{file: owner, number: i}, entryView{
			Title: c.Title, Summary: c.Summary, Link: page.CoursePath(c), Note: e.words.Count("start.sessions", len(c.Sessions)),
		})
	}
	for i, p := range e.lib.Procedures {
		if p.Removal == nil {
			put(on.procedures, rank{file: owner, number: i}, e.procedureEntry(p))
		}
	}
	for i, m := range e.lib.Machines {
		put(on.machines, rank{file: owner, number: i}, entryView{Title: m.Title, Summary: m.Summary, Link: page.MachinePath(m), Drawing: m.Drawing})
	}
	for i, q := range e.lib.Quizzes {
		put(on.quizzes, rankOfQuiz(q, owner, i), entryView{
			Title: q.Title, Summary: q.Summary, Link: page.QuizPath(q), Note: e.words.Count("start.questions", len(q.Questions)),
		})
	}
	if g := e.lib.Glossary; g != nil {
		put(on.glossary, rank{file: owner}, entryView{
			Title: g.Title, Summary: g.Summary, Link: page.GlossaryPath, Note: e.words.Count("start.terms", len(g.Terms)),
		})
	}
	return out
}

// rankOfQuiz sets quizzes by their own files, whatever else stands in the pages for their owner.
func rankOfQuiz(q *procedure.Quiz, owner string, number int) rank {
	if q.File != nil {
		owner = q.File.Name
	}
	return rank{file: owner, number: number}
}

// emitStart writes the start page, and the pages of its long lists that have changed.
func (e *emitter) emitStart(on shelves) (gone []string, err error) {
	v := startView{Shell: e.shell(page.StartPath, page.SiteTitle(e.lib, e.words))}
	v.Body = "start-page"
	v.Styles, v.Scripts = []string{"site.css"}, []string{"variant.js", "going.js"}
	v.Nothing = on.procedures.count() == 0
	var lists [5]listView
	for i, l := range []struct {
		id string
		*listing
	}{{"courses", on.courses}, {"procedures", on.procedures}, {"machines", on.machines}, {"quizzes", on.quizzes}, {"glossary", on.glossary}} {
		view, left, err := e.list(v.Shell, l.id, l.listing)
		if err != nil {
			return nil, err
		}
		lists[i], gone = view, append(gone, left...)
	}
	v.Courses, v.Procedures, v.Pair, v.Glossary = lists[0], lists[1], lists[2:4], lists[4]
	return gone, e.write(page.StartPath, startPage(v))
}

// forget has every page of the lists written again.
func (s shelves) forget() {
	for _, l := range []*listing{s.courses, s.procedures, s.machines, s.quizzes, s.glossary} {
		l.written = nil
	}
}
