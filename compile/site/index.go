package site

import (
	"errors"
	"slices"

	"matchmark/compile/output"
	"matchmark/procedure"
	"matchmark/procedure/parallel"
	"matchmark/themes"
)

// Index makes the pages on the library as a whole: the start page with its lists, and
// the search index, with what they were written with, so that an edit costs the pieces
// that it changes and not the library. It never changes: an update makes the next one,
// which shares what is the same: letters of lists, groups and lists of words.
//
// It takes the library in parts, each with an owner: the file that it comes from. A part
// is a library that holds what the file brings. Of procedures it needs what a compile keeps
// of each: titles, steps with titles and times, variants; of quizzes how many questions
// they have.
type Index struct {
	settings *procedure.Library
	theme    *themes.Theme
	words    *themes.Words
	shelves  shelves
	search   searchIndex
}

// Part is what one owner brings, made when it is asked for; nil for nothing.
type Part func() *procedure.Library

// Change is an owner of which the pages show something else than before.
type Change struct {
	Owner    string
	Was, Now Part
}

// NewIndex returns the pages of a library that holds nothing yet. Of the library given it reads the settings.
func NewIndex(settings *procedure.Library, theme *themes.Theme) (*Index, error) {
	e, err := newEmitter(settings, nil, theme, nil)
	if err != nil {
		return nil, err
	}
	return &Index{settings: settings, theme: theme, words: e.words, shelves: e.newShelves()}, nil
}

// Update makes the pages with some changes, and writes those files that are others than
// before. read gives the part of any owner that has not changed. all is true when everything
// was written; else gone lists the files that are no more. Without a sink it writes nothing.
func (w *Index) Update(changes []Change, read func(owner string) *procedure.Library, out output.Sink) (next *Index, all bool, gone []string, err error) {
	w = w.next()
	e := &emitter{lib: w.settings, theme: w.theme, words: w.words, out: out}
	was, now := make([]*part, len(changes)), make([]*part, len(changes))
	errs := make([]error, len(changes))
	parallel.Each(make([]string, len(changes)), func(i int) {
		c := changes[i]
		var err error
		was[i], errs[i] = w.part(c.Owner, c.Was)
		now[i], err = w.part(c.Owner, c.Now)
		errs[i] = errors.Join(errs[i], err)
	})
	if err := errors.Join(errs...); err != nil {
		return nil, false, nil, err
	}
	var goes, comes []*searchDocument
	for _, p := range was {
		goes = append(goes, p.documents...)
		for _, x := range p.lines {
			x.list.remove(x.line)
		}
	}
	for _, p := range now {
		comes = append(comes, p.documents...)
		for _, x := range p.lines {
			x.list.add(x.line)
		}
	}
	all, gone, err = e.emitSearchIndex(&w.search, goes, comes, func(owner string) ([]*searchDocument, error) {
		return w.emitter(read(owner)).searchDocuments(owner)
	})
	if err != nil {
		return nil, false, nil, err
	}
	if all {
		w.shelves.forget()
	}
	left, err := e.emitStart(w.shelves)
	return w, all, slices.Concat(gone, left), err
}

// next is a copy that can be changed without the old one changing.
func (w *Index) next() *Index {
	out := *w
	for _, l := range []**listing{&out.shelves.courses, &out.shelves.procedures, &out.shelves.machines, &out.shelves.quizzes} {
		*l = (*l).next()
	}
	out.search.members = slices.Clone(w.search.members)
	if out.search.lists != nil {
		out.search.lists = w.search.lists.next()
	}
	return &out
}

// part is what an owner brings to the pages.
type part struct {
	lines     []shelved
	documents []*searchDocument
}

func (w *Index) part(owner string, of Part) (*part, error) {
	if of == nil {
		return &part{}, nil
	}
	e := w.emitter(of())
	documents, err := e.searchDocuments(owner)
	return &part{e.shelved(w.shelves, owner), documents}, err
}

func (w *Index) emitter(lib *procedure.Library) *emitter {
	return &emitter{lib: lib, theme: w.theme, words: w.words}
}
