package site

import (
	"errors"
	"slices"

	"matchmark/compile/output"
	"matchmark/procedure"
	"matchmark/procedure/parallel"
	"matchmark/themes"
)

// Whole makes the pages on the library as a whole: the start page with its lists, and
// the search index. It keeps what it wrote them with, so that an edit costs the pieces
// that it changes and not the library.
//
// It takes the library in parts, each with an owner: the file that it comes from. A part
// is a library that holds what the file brings. Of procedures it needs what a compile keeps
// of each: titles, steps with titles and times, variants; of quizzes how many questions
// they have.
type Whole struct {
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

// NewWhole returns the pages of a library that holds nothing yet. Of the library given it reads the settings.
func NewWhole(settings *procedure.Library, theme *themes.Theme) (*Whole, error) {
	e, err := newEmitter(settings, nil, theme, nil)
	if err != nil {
		return nil, err
	}
	return &Whole{settings: settings, theme: theme, words: e.words, shelves: e.newShelves()}, nil
}

// EmitOverall writes the pages on a library as a whole.
func EmitOverall(lib *procedure.Library, theme *themes.Theme, out output.Sink) error {
	w, err := NewWhole(lib, theme)
	if err != nil {
		return err
	}
	_, _, err = w.Update([]Change{{Now: func() *procedure.Library { return lib }}}, nil, out)
	return err
}

// Update writes what some changes change. read gives the part of any owner that has not changed.
// all is true when everything was written; else gone lists the files that are no more.
// Without a sink it takes down what the pages show, and writes nothing. After an error, nobody knows what was written with what.
func (w *Whole) Update(changes []Change, read func(owner string) *procedure.Library, out output.Sink) (all bool, gone []string, err error) {
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
		return false, nil, err
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
		return false, nil, err
	}
	if all {
		w.shelves.forget()
	}
	left, err := e.emitStart(w.shelves)
	return all, slices.Concat(gone, left), err
}

// part is what an owner brings to the pages.
type part struct {
	lines     []shelved
	documents []*searchDocument
}

func (w *Whole) part(owner string, of Part) (*part, error) {
	if of == nil {
		return &part{}, nil
	}
	e := w.emitter(of())
	documents, err := e.searchDocuments(owner)
	return &part{e.shelved(w.shelves, owner), documents}, err
}

func (w *Whole) emitter(lib *procedure.Library) *emitter {
	return &emitter{lib: lib, theme: w.theme, words: w.words}
}
