package compile

import (
	"context"
	"errors"
	"io/fs"
	"maps"
	"os"
	"slices"
	"sync"

	"matchmark/compile/cache"
	"matchmark/compile/output"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/source"
)

// watched is what a builder knows of a site that it brings up to date again and again.
type watched struct {
	over Overlay // what was laid over the folder last
	site *placed // nil when it must be written whole
	// faulty is the folder that Update could not make a site in, because of errors in the library.
	faulty string
	// failed is true when the last look at the library found errors.
	failed bool
	// unplaced are the units that may have changed since the folder was written last.
	unplaced map[string]bool
	// warming is the making of what the first edit of a title needs, behind an update.
	warming sync.WaitGroup
}

// placed is what a site's folder holds.
type placed struct {
	out    string // the folder as the user named it
	folder fs.FileInfo
	files  map[string]cache.Sum
	// units are the files of each unit and of each picture that is shown.
	units    map[key][]cache.File
	pictures []string
	pages    int
}

// Change is what has changed in a library since it was compiled last.
type Change struct {
	// Names are the files and folders that changed, by library path.
	Names []string
	// All is true when anything may have changed.
	All bool
	// During is called around the moment in which files are put in place; see output.Update.
	During func(func() error) error
	// Progress is as in Options.
	Progress func(Progress)
}

// Update brings the site in a folder up to date with a library that has changed
// since the last Update. Only what depends on the changes is made anew, and only
// files that change are written, in place. The first Update, and one that finds
// that somebody else wrote the folder, makes the whole site. Errors are as of Site.
func (b *Builder) Update(ctx context.Context, out string, change Change, log *diagnostic.Log) (Summary, error) {
	b.warming.Wait()
	if change.Progress != nil {
		b.progress = change.Progress
	}
	if b.now != nil && b.now.moved.Load() {
		b.now = nil
	}
	if change.All || b.now == nil || !b.stands(out) {
		if !change.All && b.now != nil && b.faulty == out {
			if err := b.recheck(ctx, change.Names, log); err != nil {
				return Summary{}, err
			}
		}
		summary, err := b.whole(ctx, out, log)
		if b.faulty = ""; errors.Is(err, ErrDiagnostics) {
			b.faulty = out
		}
		return summary, err
	}
	if err := b.notice(change.Names, nil); err != nil {
		return Summary{}, err
	}
	update, err := output.BeginUpdate(out)
	if err != nil {
		return Summary{}, err
	}
	defer update.Abort()
	units := slices.AppendSeq([]string{}, maps.Keys(b.unplaced)) // not nil, which is all
	_, err = b.compile(ctx, placeStage{update, b.site.files}, wanted{units, b.failed}, log)
	b.failed = errors.Is(err, ErrDiagnostics)
	if err != nil {
		return Summary{}, err
	}
	if err := b.place(update); err != nil {
		b.site = nil
		return Summary{}, err
	}
	if err := update.Commit(change.During); err != nil {
		b.site = nil // nobody knows what the folder holds
		return Summary{}, err
	}
	b.cache.Trim()
	return Summary{Procedures: b.Procedures(), Pages: b.site.pages, Pictures: len(b.site.pictures)}, nil
}

// recheck looks at what has changed in a library that had errors from the start, so that
// there is no site to update yet. Without an error nothing goes to the log.
func (b *Builder) recheck(ctx context.Context, changed []string, log *diagnostic.Log) error {
	var found diagnostic.Log
	if err := b.Check(ctx, nil, changed, &found); err != nil {
		return err
	}
	if !found.HasErrors() {
		return nil
	}
	addAll(log, &found)
	return ErrDiagnostics
}

// whole makes the whole site and keeps what it needs for the updates after it.
func (b *Builder) whole(ctx context.Context, out string, log *diagnostic.Log) (Summary, error) {
	b.over = nil
	dir, before, err := b.readAgainst(out)
	if err != nil {
		return Summary{}, err
	}
	var summary Summary
	stands := false
	if before != nil && b.unchanged(ctx, before, dir) {
		var found diagnostic.Log
		untold, err := b.compile(ctx, standingStage(b.stamps(dir)), wanted{}, &found) // only to know what is there
		if err != nil && !errors.Is(err, errOther) {
			addAll(log, &found)
			return Summary{}, err
		}
		if stands = err == nil && output.Stands(dir, before.folders); stands {
			summary = b.now.summary(untold)
			addAll(log, &found)
		} else if b.now == nil {
			err = b.read()
		}
		if err != nil && !errors.Is(err, errOther) {
			return Summary{}, err
		}
	}
	if !stands {
		if summary, err = b.swapIn(ctx, out, dir, log); err != nil {
			return Summary{}, err
		}
	}
	b.failed = false
	b.remember(out)
	b.warm()
	return summary, nil
}

// warm has what lists and the search index were written with made behind an update that
// took them from the cache, so that the first edit of a title need not wait for it.
func (b *Builder) warm() {
	index := b.now.pages(key{pagesKind, siteName}).site
	b.warming.Go(func() {
		defer func() { _ = recover() }() // the update that needs it meets the fault again, and reports it
		_, _ = index.pieces()
	})
}

// stands reports whether the folder is the one that was written last.
func (b *Builder) stands(out string) bool {
	if b.site == nil || b.site.out != out {
		return false
	}
	info, err := os.Stat(out)
	return err == nil && os.SameFile(info, b.site.folder)
}

// notice makes the snapshot after some files or folders have changed, by library path, with another overlay.
func (b *Builder) notice(changed []string, over Overlay) error {
	s, files := b.now, over.Onto(b.folder)
	l := s.get(key{kind: listingKind}).value.(*listing)
	names := l.names
	var leaves []key
	all := false
	for _, name := range slices.Concat(changed, over.differing(b.over), b.over.differing(over)) {
		info, err := fs.Stat(files, name)
		var below []key // of a folder, or of what was one
		if err == nil && info.IsDir() || err != nil && s.last(key{fileKind, name}) == nil {
			below = s.leavesBelow(name)
		}
		switch {
		case err == nil && info.IsDir(), len(below) > 0:
			all = true
			leaves = append(leaves, below...)
		case name == source.SettingsFile:
			leaves = append(leaves, key{fileKind, name})
		case isLibraryFile(name):
			leaves = append(leaves, key{fileKind, name})
			if at, there := slices.BinarySearch(names, name); there && err != nil {
				names = slices.Delete(slices.Clone(names), at, at+1)
			} else if !there && err == nil {
				names = slices.Insert(slices.Clone(names), at, name)
			}
		case s.last(key{fileKind, name}) != nil: // a table that a machine links to
			leaves = append(leaves, key{fileKind, name})
		case s.last(key{pictureKind, name}) != nil:
			leaves = append(leaves, key{pictureKind, name})
		}
	}
	var now *result
	if all {
		for _, name := range names {
			leaves = append(leaves, key{fileKind, name})
		}
		leaves = append(leaves, key{kind: listingKind}, key{fileKind, source.SettingsFile})
	} else if !slices.Equal(names, l.names) {
		now = listed(&listing{names: names, found: l.found})
	}
	b.over = over
	b.follow(s.next(over, leaves, now))
	return b.now.get(key{kind: listingKind}).value.(*listing).err
}

// differing lists the files of the overlay that another one does not hold, or not so.
func (o Overlay) differing(other Overlay) (out []string) {
	for name, content := range o {
		if before, there := other[name]; !there || string(before) != string(content) {
			out = append(out, name)
		}
	}
	return out
}

// remember takes down what the folder holds once the whole site was written.
func (b *Builder) remember(out string) {
	b.site = nil
	info, err := os.Stat(out)
	if err != nil {
		return
	}
	b.site = &placed{out: out, folder: info, files: map[string]cache.Sum{}, units: map[key][]cache.File{}}
	b.unplaceAll()
	b.replaceFiles()
}

// replaceFiles takes down what the folder holds with the units that were made since. It
// returns the files that are no more, and whether the list of files is another one.
func (b *Builder) replaceFiles() (gone []string, relisted bool) {
	lost, now := map[string]bool{}, map[string]cache.Sum{}
	replace := func(k key, after []cache.File, stays bool) {
		before := b.site.units[k]
		b.site.pages += pagesAmong(after) - pagesAmong(before)
		for _, f := range before {
			lost[f.Path] = true
		}
		for _, f := range after {
			now[f.Path] = f.Sum
		}
		if b.site.units[k] = after; !stays {
			delete(b.site.units, k)
		}
	}
	for name := range b.unplaced {
		k := key{pagesKind, name}
		if b.now.isUnit(name) {
			replace(k, b.now.pages(k).files, true)
		} else {
			replace(k, nil, false)
		}
	}
	shown := b.now.shownPictures()
	for _, name := range b.site.pictures {
		if _, stays := slices.BinarySearch(shown, name); !stays {
			replace(key{preparedKind, name}, nil, false)
		}
	}
	b.site.pictures = shown
	for _, name := range shown {
		k := key{preparedKind, name}
		if files := b.now.pages(k).files; !slices.EqualFunc(files, b.site.units[k], sameFile) {
			replace(k, files, true)
		}
	}
	for _, name := range shown { // another picture may have been the same
		for _, f := range b.site.units[key{preparedKind, name}] {
			delete(lost, f.Path)
		}
	}
	for name := range lost {
		if _, stays := now[name]; !stays {
			gone = append(gone, name)
			delete(b.site.files, name)
		}
	}
	relisted = len(gone) > 0
	for name, sum := range now {
		if _, before := b.site.files[name]; !before {
			relisted = true
		}
		b.site.files[name] = sum
	}
	clear(b.unplaced)
	return gone, relisted
}

// place tells the update what goes, and takes down what the folder then holds.
func (b *Builder) place(update *output.Update) error {
	gone, relisted := b.replaceFiles()
	for _, name := range gone {
		update.Remove(name)
	}
	if !relisted {
		return nil
	}
	return update.List(slices.Sorted(maps.Keys(b.site.files)))
}
