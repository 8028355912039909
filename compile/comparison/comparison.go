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
	"matchmark/themes"
)

// View is the comparison of two libraries, in the words of the new one's language.
type View struct {
	// Title is that of the page, Site the new library's.
	Title, Site string
	// Compared are the procedures that changed, in the order of the new library; behind each
	// what was written for its way back, if that changed.
	Compared []Compared
	// Same are the titles of those that are the same in both; Added and Removed of those that only one library has.
	Same, Added, Removed []string

	lang  string
	theme *themes.Theme
	words *themes.Words
}

// Language makes a view a themes.View.
func (v *View) Language() string { return v.lang }

// Changed reports whether anything is different.
func (v *View) Changed() bool { return len(v.Compared)+len(v.Added)+len(v.Removed) > 0 }

// Compared is one procedure that changed.
type Compared struct {
	// ID is the procedure's name, Editions the two editions' names in words.
	ID, Title, Editions string
	// Note says what is not compared; empty for nothing.
	Note string
	// NotRaised warns of changes that no new edition announces; empty when one does.
	NotRaised string
	// Short are the changes in numbers.
	Short []string
	// Totals are empty for a way back.
	Totals   []Total
	Sections []Section
}

// Total is how long the whole takes on one variant.
type Total struct {
	// Variant is empty for a machine without variants; Old or New is a dash where there is no such variant.
	Variant, Old, New, Difference string
}

// Section is the changes of one kind: hazards, steps, tools.
type Section struct {
	// ID tells sections of several procedures apart.
	ID, Title string
	Entries   []Entry
}

// Entry is one thing that changed.
type Entry struct {
	// Kind is added, removed or changed, or moved and the like; Word says it to the reader.
	Kind, Word string
	Title      string
	// Notes say where it stands and what is new about it.
	Notes []string
	// Was and Is are the cautions of a hazard; nil where there is none.
	Was, Is *Signal
	Lines   []Line
}

// Signal is a caution; the page shows it as a panel by ANSI Z535.
type Signal struct{ Signal, Word, Text string }

// Line is one difference: either two values, or what went out of a list and what came in.
type Line struct {
	Label      string
	Old, New   string
	Gone, Come []string
	// Note is what else there is to say, such as that the order changed.
	Note string
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
func (e *UnknownError) Error() string {
	where := "neither library has"
	switch {
	case e.InOld:
		where = "the new library does not have"
	case e.InNew:
		where = "the old library does not have"
	}
	return fmt.Sprintf("%s the procedure %q", where, e.ID)
}

// Between compares the procedures that two libraries share, or only the one with
// the given name. The error is an *UnknownError, or about a language without words.
func Between(before, after *procedure.Library, only string) (*View, error) {
	theme, err := themes.Load()
	if err != nil {
		return nil, fmt.Errorf("loading the theme: %w", err)
	}
	words, err := theme.Words(after.Language)
	if err != nil {
		return nil, err
	}
	if only != "" {
		if err := known(before, after, only); err != nil {
			return nil, err
		}
	}
	v := &View{Title: words.T("compare.title"), Site: page.SiteTitle(after, words), lang: words.Lang, theme: theme, words: words}
	for _, p := range after.Procedures {
		old := find(before, p.ID)
		switch {
		case only != "" && p.ID != only:
		case old == nil:
			v.Added = append(v.Added, p.Title)
		default:
			v.compare(old, p)
		}
	}
	for _, p := range before.Procedures {
		if only == "" && find(after, p.ID) == nil {
			v.Removed = append(v.Removed, p.Title)
		}
	}
	return v, nil
}

// compare adds the two editions of a procedure, and what their authors wrote for the way back.
func (v *View) compare(old, p *procedure.Procedure) {
	forth := edition.Compare(old, p)
	back := edition.WaysBack(forth, v.words.T("refit.title", old.Title), v.words.T("refit.title", p.Title))
	if forth.Same && back.Same {
		v.Same = append(v.Same, p.Title)
	}
	if !forth.Same {
		v.Compared = append(v.Compared, (&writer{v.words, forth}).compared())
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
