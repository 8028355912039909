package compile

import (
	"maps"
	"slices"
	"strings"
	"sync"

	"matchmark/compile/cache"
	"matchmark/compile/output"
	"matchmark/compile/site"
	"matchmark/procedure"
)

// siteIndex is what the start page, its lists and the search index are made from,
// group by group, so that an edit costs those pieces of them that it changes.
type siteIndex struct {
	*snapshot
	settings cache.Sum
	// others are the machines, the courses and the glossary. What the pages show of them is not kept: when one changes, all is made anew.
	others map[string]cache.Sum
	// rows are the files that machines take rows from, which the search finds.
	rows     map[string]cache.Sum
	machines map[string]*procedure.Machine // as procedures see them
	groups   map[string]*pagesGroup
	// pieces are what the pages were written with, made when somebody asks.
	pieces func() (*site.Index, error)
}

// makeSite makes the start page, the lists and the search index: those pieces that have
// changed since they were made last, or all.
func makeSite(x *reading) *result {
	now := x.siteParts()
	var before *pages
	if x.was != nil {
		before = x.was.value.(*pages)
	}
	if before == nil || before.site == nil || !now.fits(before.site) {
		if made := x.fetchPages(siteName); made != nil {
			now.pieces = sync.OnceValues(func() (*site.Index, error) {
				pieces, _, _, err := now.update(nil, nil)
				if now.moved.Load() {
					err = errMoved
				}
				return pieces, err
			})
			made.value.(*pages).site = now
			return made
		}
		before = nil
	} else if _, err := before.site.pieces(); err != nil {
		before = nil
	}
	w := &writing{reading: x, pages: &pages{site: now}, collector: collector{unsummed: x.unsummed, wrote: x.wrote}}
	var was *siteIndex
	if before != nil {
		was = before.site
	}
	pieces, all, gone, err := now.update(was, w)
	now.pieces = func() (*site.Index, error) { return pieces, err }
	if w.err = err; err != nil {
		return w.pages.result()
	}
	slices.SortFunc(w.collector.files, byPath)
	files := w.collector.files
	if !all {
		files = replaced(before.files, files, gone)
	}
	w.made, w.pages.files = true, withoutContent(files)
	x.traceFiles(len(w.collector.files), len(files))
	if all {
		x.keepPages(siteName, w.pages, files)
	}
	x.handed.Store(key{pagesKind, siteName}, files)
	return w.pages.result()
}

// allPieces writes every piece, whatever was there before.
func (w *writing) allPieces() error {
	_, _, _, err := w.siteParts().update(nil, w)
	slices.SortFunc(w.collector.files, byPath)
	return err
}

func byPath(a, b cache.File) int { return strings.Compare(a.Path, b.Path) }

// siteParts reads what the pages are made from.
func (x *reading) siteParts() *siteIndex {
	i := &siteIndex{
		snapshot: x.snapshot, settings: x.settingsSum(),
		others: map[string]cache.Sum{}, rows: map[string]cache.Sum{}, machines: map[string]*procedure.Machine{}, groups: map[string]*pagesGroup{},
	}
	for _, list := range []string{machineFiles, courseFiles, glossaryFiles} {
		for _, name := range x.members(list) {
			i.others[name] = x.file(name)
		}
	}
	for _, name := range x.members(machineFiles) {
		i.others[name] = sumOf(i.others[name], x.get(name, pagesKind, part).sums[part])
	}
	for _, name := range x.members(linkedFiles) {
		i.rows[name] = x.file(name)
	}
	for _, group := range x.members(allGroups) {
		i.groups[group] = x.get(group, pagesGroupKind, part).value.(*pagesGroup)
	}
	return i
}

func (x *reading) settingsSum() cache.Sum { return x.get("", settingsKind, whole).sums[whole] }

// fits reports whether the settings, the machines and the courses are those that other pieces were made with.
func (i *siteIndex) fits(before *siteIndex) bool {
	return i.settings == before.settings && maps.Equal(i.others, before.others) && maps.Equal(i.rows, before.rows)
}

// update writes the pieces that differ from those of before, or all. Without a sink it
// only takes down what they hold.
func (i *siteIndex) update(before *siteIndex, out output.Sink) (pieces *site.Index, all bool, gone []string, err error) {
	var changes []site.Change
	was := map[string]*pagesGroup{}
	if before == nil {
		i.readMachines()
		if pieces, err = site.NewIndex(i.lib(), i.theme); err != nil {
			return nil, false, nil, err
		}
		for name := range i.others {
			changes = append(changes, site.Change{Owner: name, Now: func() *procedure.Library { return i.partOf(name) }})
		}
	} else {
		was, i.machines = before.groups, before.machines
		if pieces, err = before.pieces(); err != nil {
			return nil, false, nil, err
		}
	}
	for _, group := range slices.Concat(slices.Collect(maps.Keys(was)), slices.Collect(maps.Keys(i.groups))) {
		if was[group] != i.groups[group] {
			changes = append(changes, i.changesOf(was[group], i.groups[group])...)
		}
	}
	slices.SortFunc(changes, func(a, b site.Change) int { return strings.Compare(a.Owner, b.Owner) })
	changes = slices.CompactFunc(changes, func(a, b site.Change) bool { return a.Owner == b.Owner }) // a group is in both lists
	return pieces.Update(changes, i.partOf, out)
}

// changesOf are the procedures of a group of which lists show something else than before.
func (i *siteIndex) changesOf(was, now *pagesGroup) (out []site.Change) {
	before, after := was.byFile(), now.byFile()
	for file, x := range before {
		if y, stays := after[file]; !stays {
			out = append(out, site.Change{Owner: file, Was: i.library(x)})
		} else if x.sum != y.sum || x.machine != y.machine {
			out = append(out, site.Change{Owner: file, Was: i.library(x), Now: i.library(y)})
		}
	}
	for file, y := range after {
		if _, was := before[file]; !was {
			out = append(out, site.Change{Owner: file, Now: i.library(y)})
		}
	}
	return out
}

func (g *pagesGroup) byFile() map[string]shown {
	out := map[string]shown{}
	if g != nil {
		for _, x := range g.shown {
			out[x.file] = x
		}
	}
	return out
}

// readMachines reads what lists show of machines.
func (i *siteIndex) readMachines() {
	for name := range i.others {
		if m := i.model(name).part.Machine(); m != nil {
			i.machines[name] = &procedure.Machine{ID: m.ID, Title: m.Title, Summary: m.Summary, Variants: m.Variants}
		}
	}
}

// model is a file that is no procedure.
func (i *siteIndex) model(name string) *sharedModel {
	return i.get(key{sharedKind, name}).value.(*sharedModel)
}

func (i *siteIndex) lib() *procedure.Library {
	lib := *i.get(key{kind: settingsKind}).value.(*settings).lib.Library
	return &lib
}

// partOf is what a file brings to the pages.
func (i *siteIndex) partOf(name string) *procedure.Library {
	if g := i.groups[groupOf(name)]; g != nil {
		at, there := slices.BinarySearchFunc(g.shown, name, func(x shown, name string) int { return strings.Compare(x.file, name) })
		if there {
			return i.library(g.shown[at])()
		}
	}
	lib := i.lib()
	if m := i.model(name).part.Machine(); m != nil {
		drawn := *m
		drawn.Drawing = i.drawing(name)
		lib.Machines = append(lib.Machines, &drawn)
	} else if c := i.model(name).part.Course(); c != nil {
		lib.Courses = append(lib.Courses, c)
	} else if g := i.model(name).part.Glossary(); g != nil {
		lib.Glossary = g
	}
	return lib
}

// drawing is what stands on the card of a machine; nothing where it has no figure.
func (i *siteIndex) drawing(machine string) procedure.Drawing {
	r := cache.Read(i.pages(key{pagesKind, machine}).entry)
	if d := readDrawing(r); r.Err == nil {
		return d
	}
	return procedure.Drawing{}
}

// library is a library of a procedure, its refitting and its quizzes.
func (i *siteIndex) library(x shown) site.Part {
	return func() *procedure.Library {
		lib := i.lib()
		p, quizzes, err := readSummary(x.entry, i.machines[x.machine])
		if err != nil {
			return lib // it was written by summaryOf
		}
		lib.Procedures, lib.Quizzes = append(lib.Procedures, p), quizzes
		if p.Refitting != nil {
			lib.Procedures = append(lib.Procedures, p.Refitting)
		}
		return lib
	}
}

// replaced are files with those that were written in the place of what was there.
func replaced(before, written []cache.File, gone []string) []cache.File {
	at := func(f cache.File, path string) int { return strings.Compare(f.Path, path) }
	files := slices.Clone(before)
	for _, path := range gone {
		if i, there := slices.BinarySearchFunc(files, path, at); there {
			files = slices.Delete(files, i, i+1)
		}
	}
	for _, f := range written {
		i, there := slices.BinarySearchFunc(files, f.Path, at)
		if !there {
			files = slices.Insert(files, i, cache.File{})
		}
		files[i] = f
	}
	return files
}
