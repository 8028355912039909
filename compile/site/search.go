package site

import (
	"encoding/json"
	"path"
	"slices"
	"strings"

	"matchmark/compile/page"
	"matchmark/compile/sheet"
	"matchmark/procedure"
)

// The search index comes in pieces, which search.js loads as it needs them. Each
// piece is a classic script that calls it, because a page opened from a folder may
// not fetch files. A page that can be found (a course, procedure, machine or quiz) is a
// document, with its steps or parts. Documents lie in groups by a hash of their link;
// lists of words, cut by first letters, say which groups have a word. So a search
// loads a list for each word asked and then the few groups that have all of them, and
// an edit of one procedure changes its group, and lists only where a word comes or goes.

// Sizes of pieces, in bytes. Groups are made so many that one holds about groupSize;
// a list of words longer than listSize is cut by one more letter.
const (
	groupSize = 16 << 10
	listSize  = 64 << 10
)

// searchKinds are the kinds of hits, in the order in which they are shown; a piece
// names one by its place here.
var searchKinds = []string{"course", "procedure", "machine", "quiz", "back", "step", "part", "fastener", "connection", "fluid", "support", "tool", "sheet", "glossary", "term"}

// searchDocument is a page, and hits on places of it and of the pages behind it.
// As JSON: [kind, title, where, link, places...].
type searchDocument struct {
	kind               string
	title, where, link string
	places             []*searchPlaces

	at    rank
	owner string // what it is read from again
	text  []byte // as JSON
}

// searchPlaces are hits of one kind on one page. As JSON: [kind, link, [anchor, title, anchor, title ...]].
type searchPlaces struct {
	kind, link string
	pairs      []string
}

func (p *searchPlaces) add(anchor, title string) { p.pairs = append(p.pairs, anchor, title) }

func (d *searchDocument) on(kind, link string) *searchPlaces {
	p := &searchPlaces{kind: kind, link: link}
	d.places = append(d.places, p)
	return p
}

// MarshalJSON implements json.Marshaler.
func (d *searchDocument) MarshalJSON() ([]byte, error) {
	out := []any{slices.Index(searchKinds, d.kind), d.title, d.where, d.link}
	for _, p := range d.places {
		if len(p.pairs) == 0 {
			continue
		}
		out = append(out, []any{slices.Index(searchKinds, p.kind), p.link, p.pairs})
	}
	return json.Marshal(out)
}

// words calls take with every word that finds the document or a place of it.
func (d *searchDocument) words(take func(word []byte)) {
	eachWord(d.title, take)
	eachWord(d.where, take)
	for _, p := range d.places {
		for i := 1; i < len(p.pairs); i += 2 {
			eachWord(p.pairs[i], take)
		}
	}
}

// searchDocuments are the documents of what a library holds, in its order.
func (e *emitter) searchDocuments(owner string) ([]*searchDocument, error) {
	var out []*searchDocument
	add := func(at rank, kind, title, where, link string) *searchDocument {
		d := &searchDocument{kind: kind, title: title, where: where, link: link, at: at, owner: owner}
		out = append(out, d)
		return d
	}
	for i, c := range e.lib.Courses {
		add(rank{0, owner, i}, "course", c.Title, c.Summary, page.CoursePath(c))
	}
	for i, p := range e.lib.Procedures {
		at := rank{1, owner, i}
		if p.Removal == nil {
			d := add(at, "procedure", p.Title, p.Summary, page.ProcedurePath(p))
			e.addSteps(d, p)
			e.addSheets(d, p)
		} else { // its summary says no more than its title
			d := add(at, "back", p.Title, p.Machine.Title, page.ProcedurePath(p))
			e.addSteps(d, p)
			e.addSheets(d, p)
		}
	}
	for i, m := range e.lib.Machines {
		e.addThings(add(rank{2, owner, i}, "machine", m.Title, m.Summary, page.MachinePath(m)), m)
	}
	for i, q := range e.lib.Quizzes {
		at := rankOfQuiz(q, owner, i)
		at.kind = 3
		add(at, "quiz", q.Title, q.Summary, page.QuizPath(q))
	}
	if g := e.lib.Glossary; g != nil {
		d := add(rank{kind: 4, file: owner}, "glossary", g.Title, g.Summary, page.GlossaryPath)
		terms := d.on("term", page.GlossaryPath+"#")
		for _, t := range g.Terms {
			terms.add(page.TermAnchor(t), t.Name())
		}
	}
	for _, d := range out {
		var err error
		if d.text, err = json.Marshal(d); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// addSteps adds a procedure's steps, each once, on the first variant that has it.
func (e *emitter) addSteps(d *searchDocument, p *procedure.Procedure) {
	seen := map[string]bool{}
	for _, j := range p.Jobs() {
		steps := d.on("step", page.StepsPath(j)+"#")
		for _, s := range j.Steps {
			if !seen[s.ID] {
				seen[s.ID] = true
				steps.add(s.ID, s.Title)
			}
		}
	}
}

// addSheets adds the sheets of a procedure's jobs.
func (e *emitter) addSheets(d *searchDocument, p *procedure.Procedure) {
	sheets := d.on("sheet", path.Dir(d.link)+"/")
	for _, s := range p.Sheets {
		sheets.add(s.Page, sheet.Kind(s.Kind).Title(e.words))
	}
}

// addThings adds what a machine's registers name, with the figures that somebody may look for: a thread, a torque, what a gear carries.
func (e *emitter) addThings(d *searchDocument, m *procedure.Machine) {
	shell := e.shell(page.StartPath, "")
	on := func(kind string) func(id, name string, figures ...string) {
		places := d.on(kind, page.MachinePath(m)+"#")
		return func(id, name string, figures ...string) {
			told := slices.DeleteFunc(append([]string{name}, figures...), func(s string) bool { return s == "" })
			places.add(thingAnchor(id), strings.Join(told, ", "))
		}
	}
	add := on("part")
	for _, x := range m.Parts {
		add(x.ID, x.Name)
	}
	add = on("fastener")
	for _, x := range m.Fasteners {
		add(x.ID, x.ID+" "+x.Name, shell.ThreadAndLength(x), shell.Tightening(x))
	}
	add = on("connection")
	for _, x := range m.Connections {
		add(x.ID, x.Name, x.Mark)
	}
	add = on("fluid")
	for _, x := range m.Fluids {
		add(x.ID, x.Name, shell.Quantity(x.Quantity))
	}
	add = on("support")
	for _, x := range m.Supports {
		add(x.ID, x.Name, shell.Quantity(x.Capacity))
	}
	add = on("tool")
	r := registers{emitter: e, machine: m, shell: shell}
	for _, x := range m.Tools {
		add(x.ID, x.Name, shell.Quantity(x.Quantity), r.fits(x).Text)
	}
}
