package site

import (
	"bytes"
	"encoding/json"
	"hash/fnv"
	"math/bits"
	"slices"

	"matchmark/compile/page"
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
var searchKinds = []string{"course", "procedure", "machine", "quiz", "back", "step", "part", "fastener"}

// searchDocument is a page, and hits on places of it and of the pages behind it.
// As JSON: [kind, title, where, link, places...].
type searchDocument struct {
	kind               string
	title, where, link string
	places             []*searchPlaces
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

// searchDocuments are all documents of the library, in its order.
func (e *emitter) searchDocuments() []*searchDocument {
	var out []*searchDocument
	add := func(kind, title, where, link string) *searchDocument {
		d := &searchDocument{kind: kind, title: title, where: where, link: link}
		out = append(out, d)
		return d
	}
	for _, c := range e.lib.Courses {
		add("course", c.Title, c.Summary, page.CoursePath(c))
	}
	for _, p := range e.lib.Procedures {
		if p.Forth == nil {
			e.addSteps(add("procedure", p.Title, p.Summary, page.ProcedurePath(p)), p)
		} else { // its summary says no more than its title
			e.addSteps(add("back", p.Title, p.Machine.Title, page.ProcedurePath(p)), p)
		}
	}
	for _, m := range e.lib.Machines {
		e.addThings(add("machine", m.Title, m.Summary, page.MachinePath(m)), m)
	}
	for _, q := range e.lib.Quizzes {
		add("quiz", q.Title, q.Summary, page.QuizPath(q))
	}
	return out
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

// addThings adds a machine's parts and fasteners.
func (e *emitter) addThings(d *searchDocument, m *procedure.Machine) {
	parts := d.on("part", page.MachinePath(m)+"#")
	for _, x := range m.Parts {
		parts.add(thingAnchor(x.ID), x.Name)
	}
	fasteners := d.on("fastener", page.MachinePath(m)+"#")
	shell := e.shell(page.StartPath, "")
	for _, x := range m.Fasteners {
		title := x.ID + " " + x.Name
		if size := shell.ThreadAndLength(x); size != "" {
			title += ", " + size
		}
		fasteners.add(thingAnchor(x.ID), title)
	}
}

// emitSearchIndex writes all pieces of the index. Links are relative to the site's root.
func (e *emitter) emitSearchIndex() error {
	documents := e.searchDocuments()
	texts := make([][]byte, len(documents))
	total := 0
	for i, d := range documents {
		var err error
		if texts[i], err = json.Marshal(d); err != nil {
			return err
		}
		total += len(texts[i])
	}
	groups := 1 << bits.Len(uint(total/groupSize)) // a power of two: it changes seldom
	members := make([][][]byte, groups)
	lists := newWordLists(groups)
	for i, d := range documents {
		g := groupOf(d.link, groups)
		members[g] = append(members[g], texts[i])
		d.words(func(word []byte) { lists.add(word, g) })
	}
	for g, texts := range members {
		if err := e.writeSearch(page.SearchGroupPath(g), "group", g, json.RawMessage("["+string(bytes.Join(texts, []byte(",\n")))+"]")); err != nil {
			return err
		}
	}
	keys, err := lists.write(func(key string, list json.RawMessage) error {
		return e.writeSearch(page.SearchWordsPath(key), "list", key, list)
	})
	if err != nil {
		return err
	}
	kinds := make([]string, len(searchKinds))
	for i, kind := range searchKinds {
		if kind == "back" {
			kinds[i] = e.words.T("way.back")
		} else {
			kinds[i] = e.words.T("search.kind." + kind)
		}
	}
	return e.writeSearch(page.SearchIndexPath, "index", kinds, keys, groups)
}

// groupOf is the group of the document that a link leads to.
func groupOf(link string, groups int) int {
	h := fnv.New32a()
	h.Write([]byte(link))
	return int(h.Sum32() % uint32(groups))
}

// writeSearch writes a piece: a call of a function of search.js with its arguments.
func (e *emitter) writeSearch(at, function string, arguments ...any) error {
	var b bytes.Buffer
	b.WriteString("matchmark.search." + function + "(")
	for i, a := range arguments {
		if i > 0 {
			b.WriteString(", ")
		}
		text, err := json.Marshal(a)
		if err != nil {
			return err
		}
		b.Write(text)
	}
	b.WriteString(");\n")
	return e.out.Write(at, b.Bytes())
}
