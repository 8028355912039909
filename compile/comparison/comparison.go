// Package comparison tells a trainer what changed between two editions of a
// library's procedures: as text for a terminal, and as one self-contained page.
// Both are made from one view, so they say the same.
package comparison

import (
	"fmt"
	"slices"
	"strings"

	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/edition"
	"matchmark/procedure/say"
	"matchmark/themes"
)

// View is the comparison of two libraries, in the words of the new one's language. As JSON it says the same.
type View struct {
	// Title is that of the page, Site the new library's.
	Title string `json:"title"`
	Site  string `json:"site"`
	// Compared are the procedures that changed, in the order of the new library; behind each
	// what was written for its refitting, if that changed.
	Compared []Compared `json:"compared,omitempty"`
	// Same are the titles of procedures that are the same in both, their machines and terms included; ByMachine of those
	// whose machine is different; ByTerms of those of which a term alone is; Added and Removed of what only one library has.
	Same      []string `json:"same,omitempty"`
	ByMachine []string `json:"byMachine,omitempty"`
	ByTerms   []string `json:"byTerms,omitempty"`
	Added     []string `json:"added,omitempty"`
	Removed   []string `json:"removed,omitempty"`

	lang  string
	theme *themes.Theme
	words *themes.Words
}

// Changed reports whether anything is different.
func (v *View) Changed() bool {
	return len(v.Compared)+len(v.ByMachine)+len(v.ByTerms)+len(v.Added)+len(v.Removed) > 0
}

// Compared is one procedure that changed.
type Compared struct {
	// ID is the procedure's name, Editions the two editions' names in words.
	ID       string `json:"id"`
	Title    string `json:"title"`
	Editions string `json:"editions"`
	// Note says what is not compared; empty for nothing.
	Note string `json:"note,omitempty"`
	// NotRaised warns of changes that no new edition announces; empty when one does.
	NotRaised string `json:"notRaised,omitempty"`
	// Short are the changes in numbers.
	Short []string `json:"short,omitempty"`
	// Totals are empty for a refitting.
	Totals   []Total   `json:"totals,omitempty"`
	Sections []Section `json:"sections,omitempty"`
}

// Total is how long the whole takes on one variant.
type Total struct {
	// Variant is empty for a machine without variants; Old or New is a dash where there is no such variant.
	Variant    string `json:"variant,omitempty"`
	Old        string `json:"old"`
	New        string `json:"new"`
	Difference string `json:"difference"`
}

// Section is the changes of one kind: hazards, steps, tools.
type Section struct {
	// ID tells sections of several procedures apart.
	ID      string  `json:"id"`
	Title   string  `json:"title"`
	Entries []Entry `json:"entries"`
}

// Entry is one thing that changed.
type Entry struct {
	// Kind is added, removed or changed, or moved and the like; Word says it to the reader.
	Kind  string `json:"kind"`
	Word  string `json:"word"`
	Title string `json:"title"`
	// Notes say where it stands and what is new about it.
	Notes []string `json:"notes,omitempty"`
	// Was and Is are the cautions of a hazard; nil where there is none.
	Was   *Signal `json:"was,omitempty"`
	Is    *Signal `json:"is,omitempty"`
	Lines []Line  `json:"lines,omitempty"`
}

// Signal is a caution; the page shows it as a panel by ANSI Z535.
type Signal struct {
	Signal string `json:"signal"`
	Word   string `json:"word"`
	Text   string `json:"text"`
}

// Line is one difference: either two values, or what went out of a list and what came in.
type Line struct {
	Label string   `json:"label"`
	Old   string   `json:"old,omitempty"`
	New   string   `json:"new,omitempty"`
	Gone  []string `json:"gone,omitempty"`
	Come  []string `json:"come,omitempty"`
	// Note is what else there is to say, such as that the order changed.
	Note string `json:"note,omitempty"`
}

// UnknownError names a procedure that is not in both libraries.
type UnknownError struct {
	ID string
	// InOld and InNew say which library has it.
	InOld, InNew bool
	// Suggest is a name that may have been meant; empty for none.
	Suggest string
}

// Error says where the procedure is missing.
func (e *UnknownError) Error() string { return e.Says().String() }

// Says says where the procedure is missing.
func (e *UnknownError) Says() say.Text {
	switch {
	case e.InOld:
		return say.That("the new library does not have the procedure %id", say.Quoted(e.ID))
	case e.InNew:
		return say.That("the old library does not have the procedure %id", say.Quoted(e.ID))
	}
	return say.That("neither library has the procedure %id", say.Quoted(e.ID))
}

// Between compares the procedures that two libraries share, or only the one with
// the given name, in a language. The error is an *UnknownError, or about a language without words.
func Between(before, after *procedure.Library, only, language string) (*View, error) {
	theme, err := themes.Load()
	if err != nil {
		return nil, fmt.Errorf("loading the theme: %w", err)
	}
	words, err := theme.Words(language)
	if err != nil {
		return nil, err
	}
	if only != "" {
		if err := known(before, after, only); err != nil {
			return nil, err
		}
	}
	c := comparer{before: before, after: after, only: only, told: map[string]bool{}}
	c.View = &View{Title: words.T("compare.title"), Site: page.SiteTitle(after, words), lang: words.Lang, theme: theme, words: words}
	c.terms = edition.Glossaries(before.Glossary, after.Glossary)
	c.procedures()
	c.others()
	return c.View, nil
}

// comparer compares two libraries, procedure by procedure and then the rest.
type comparer struct {
	*View
	before, after *procedure.Library
	only          string
	// told are the rows of machines that stand with a procedure: machine, register and name.
	told map[string]bool
	// terms is what is different in the glossary.
	terms edition.Other
}

func (c *comparer) procedures() {
	for _, p := range c.after.Procedures {
		old := find(c.before, p.ID)
		switch {
		case c.only != "" && p.ID != c.only:
		case old == nil:
			c.Added = append(c.Added, p.Title)
		default:
			c.compare(old, p)
		}
	}
	for _, p := range c.before.Procedures {
		if c.only == "" && find(c.after, p.ID) == nil {
			c.Removed = append(c.Removed, p.Title)
		}
	}
}

// others compares what is no procedure. Of a procedure that was asked for by its name, it is its machine and its quizzes.
func (c *comparer) others() {
	if c.only == "" {
		c.other("library", edition.Libraries(c.before, c.after))
	}
	c.glossary()
	each(c, "quiz", c.before.Quizzes, c.after.Quizzes, func(q *procedure.Quiz) (string, string, bool) {
		return q.ID, q.Title, c.only == "" || q.ProcedureRef.ID == c.only
	}, edition.Quizzes)
	each(c, "machine", c.before.Machines, c.after.Machines, func(m *procedure.Machine) (string, string, bool) {
		return m.ID, m.Title, c.only == "" || find(c.after, c.only).MachineRef.ID == m.ID
	}, c.machines)
	each(c, "course", c.before.Courses, c.after.Courses, func(x *procedure.Course) (string, string, bool) { return x.ID, x.Title, c.only == "" }, edition.Courses)
}

// machines compares two machines, but for the rows that stand with a procedure already.
func (c *comparer) machines(old, now *procedure.Machine) edition.Other {
	o := edition.Machines(old, now)
	for i := range o.Lists {
		l := &o.Lists[i]
		l.Entries = slices.DeleteFunc(l.Entries, func(e edition.Entry) bool { return c.told[now.ID+" "+l.What+" "+e.ID] })
	}
	o.Lists = slices.DeleteFunc(o.Lists, func(l edition.Entries) bool { return len(l.Entries) == 0 })
	return o
}

// each compares the things of one kind that both libraries have; about says a thing's name, its title and whether it was asked for.
func each[T any](c *comparer, kind string, before, after []T, about func(T) (id, title string, asked bool), compare func(old, now T) edition.Other) {
	at := func(list []T, id string) int {
		return slices.IndexFunc(list, func(x T) bool { its, _, _ := about(x); return its == id })
	}
	for _, now := range after {
		id, title, asked := about(now)
		switch i := at(before, id); {
		case !asked:
		case i < 0:
			c.Added = append(c.Added, title)
		default:
			c.other(kind, compare(before[i], now))
		}
	}
	for _, old := range before {
		if id, title, asked := about(old); asked && at(after, id) < 0 {
			c.Removed = append(c.Removed, title)
		}
	}
}

func (c *comparer) other(kind string, o edition.Other) {
	if !o.Same() {
		c.Compared = append(c.Compared, (&writer{words: c.words}).other(kind, o))
	}
}

// compare adds the two editions of a procedure, and what their authors wrote for the refitting.
func (v *comparer) compare(old, p *procedure.Procedure) {
	removal := edition.Compare(old, p)
	back := edition.RefitFiles(removal, v.words.T("refit.title", old.Title), v.words.T("refit.title", p.Title))
	for _, r := range slices.Concat(removal.Rows, back.Rows) {
		if len(r.Changes) > 0 || r.Steps == nil { // else only its use is new or gone
			v.told[p.MachineRef.ID+" "+string(r.Register)+" "+r.ID] = true
		}
	}
	if removal.Same && back.Same {
		machines := edition.Other{}
		if old.Machine != nil && p.Machine != nil {
			machines = edition.Machines(old.Machine, p.Machine)
		}
		switch {
		case !machines.Same():
			v.ByMachine = append(v.ByMachine, p.Title)
		case v.usesChangedTerm(p):
			v.ByTerms = append(v.ByTerms, p.Title)
		default:
			v.Same = append(v.Same, p.Title)
		}
	}
	if !removal.Same {
		v.Compared = append(v.Compared, (&writer{v.words, removal}).compared())
	}
	if !back.Same {
		written := (&writer{v.words, back}).compared()
		written.Note = v.words.T("compare.written")
		v.Compared = append(v.Compared, written)
	}
}

func find(lib *procedure.Library, id string) *procedure.Procedure {
	i := slices.IndexFunc(lib.Procedures, func(p *procedure.Procedure) bool { return p.ID == id })
	if i < 0 {
		return nil
	}
	return lib.Procedures[i]
}

func known(before, after *procedure.Library, id string) error {
	out := &UnknownError{ID: id, InOld: find(before, id) != nil, InNew: find(after, id) != nil}
	if out.InOld && out.InNew {
		return nil
	}
	var names []string
	for _, p := range after.Procedures {
		if find(before, p.ID) != nil {
			names = append(names, p.ID)
		}
	}
	out.Suggest = diagnostic.Nearest(id, names)
	return out
}

// joined puts names into one line.
func joined(names []string) string { return strings.Join(names, ", ") }
