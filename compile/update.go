package compile

import (
	"context"
	"errors"
	"io/fs"
	"maps"
	"os"
	"slices"

	"matchmark/compile/cache"
	"matchmark/compile/output"
	"matchmark/procedure/diagnostic"
)

// placed is what a session knows of the site that it wrote last.
type placed struct {
	out    string // the folder as the user named it
	folder fs.FileInfo
	files  map[string]cache.Sum
	// units are the files of each unit, and pictures those of each picture that is shown.
	units    map[unitName][]cache.File
	pictures map[string][]cache.File
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
func (s *Session) Update(ctx context.Context, out string, change Change, log *diagnostic.Log) (Summary, error) {
	s.updates = true
	s.readying.Wait()
	if change.Progress != nil {
		s.progress = change.Progress
	}
	if change.All || !s.stands(out) {
		if !change.All && s.faulty == out {
			if err := s.recheck(ctx, change.Names, log); err != nil {
				return Summary{}, err
			}
		}
		summary, err := s.whole(ctx, out, log)
		s.noteFaulty(out, err)
		return summary, err
	}
	all, err := s.notice(change.Names)
	if err != nil {
		return Summary{}, err
	}
	update, err := output.BeginUpdate(out)
	if err != nil {
		return Summary{}, err
	}
	defer update.Abort()
	s.only = !all
	defer func() { s.only = false }()
	if err := s.compile(ctx, placeStage{update, s.site.files}, log); err != nil {
		return Summary{}, err
	}
	if err := s.place(update); err != nil {
		s.site = nil
		return Summary{}, err
	}
	if err := update.Commit(change.During); err != nil {
		s.site = nil // nobody knows what the folder holds
		return Summary{}, err
	}
	s.cache.Trim()
	return Summary{Procedures: len(s.index.procedures), Pages: s.site.pages, Pictures: len(s.site.pictures)}, nil
}

// recheck looks at what has changed in a library that had errors from the start, so that
// there is no site to update yet. Without an error nothing goes to the log.
func (s *Session) recheck(ctx context.Context, changed []string, log *diagnostic.Log) error {
	all, err := s.notice(changed)
	if err != nil {
		return err
	}
	s.only = !all
	defer func() { s.only = false }()
	var found diagnostic.Log
	if err = s.compile(ctx, noStage{}, &found); err != nil {
		addAll(log, &found)
	}
	s.noteFaulty(s.faulty, err)
	return err
}

// noteFaulty notes that errors of the library's are why a folder has no site yet.
func (s *Session) noteFaulty(out string, err error) {
	if s.faulty = ""; errors.Is(err, ErrDiagnostics) {
		s.faulty = out
	}
}

// whole makes the whole site and keeps what it needs for the updates after it.
func (s *Session) whole(ctx context.Context, out string, log *diagnostic.Log) (Summary, error) {
	s.pictures = newPictures(s.files, s.build, s.cache)
	dir, before, err := s.readAgainst(out)
	if err != nil {
		return Summary{}, err
	}
	stands := false
	if before != nil && s.unchanged(ctx, before, dir) {
		var found diagnostic.Log
		err := s.compile(ctx, standingStage(s.stamps(dir)), &found) // only to know what is there
		stands = err == nil && output.Stands(dir, before.folders)
		if stands || err != nil && !errors.Is(err, errOther) {
			addAll(log, &found)
		}
		if err != nil && !errors.Is(err, errOther) {
			return Summary{}, err
		}
	}
	if !stands {
		if err := s.swapIn(ctx, out, dir, log); err != nil {
			return Summary{}, err
		}
	}
	s.remember(out)
	s.readyOverall()
	return s.summary(), nil
}

// stands reports whether the folder is the one that the session wrote last.
func (s *Session) stands(out string) bool {
	if s.site == nil || s.site.out != out {
		return false
	}
	info, err := os.Stat(out)
	return err == nil && os.SameFile(info, s.site.folder)
}

// remember takes down what the folder holds once the whole site was written.
func (s *Session) remember(out string) {
	info, err := os.Stat(out)
	if err != nil || len(s.units) == 0 {
		s.site = nil
		return
	}
	s.site = &placed{out: out, folder: info, files: map[string]cache.Sum{}, units: map[unitName][]cache.File{}}
	for name, u := range s.units {
		s.site.units[name] = u.files
		s.site.pages += pagesAmong(u.files)
		for _, f := range u.files {
			s.site.files[f.Path] = f.Sum
		}
	}
	s.site.pictures = s.shownFiles()
	for _, files := range s.site.pictures {
		for _, f := range files {
			s.site.files[f.Path] = f.Sum
		}
	}
	s.dirty, s.unplaced = map[unitName]bool{}, map[unitName]bool{}
	s.picturesStand, s.rejoined = true, false
}

// place tells the update what goes, and remembers what the folder then holds.
func (s *Session) place(update *output.Update) error {
	gone, now := map[string]bool{}, map[string]cache.Sum{}
	drop := func(files []cache.File) {
		s.site.pages -= pagesAmong(files)
		for _, f := range files {
			gone[f.Path] = true
		}
	}
	add := func(files []cache.File) {
		s.site.pages += pagesAmong(files)
		for _, f := range files {
			now[f.Path] = f.Sum
		}
	}
	if s.rejoined {
		for name, files := range s.site.units {
			if s.units[name] == nil {
				drop(files)
				delete(s.site.units, name)
			}
		}
	}
	for name := range s.unplaced {
		if u := s.units[name]; u != nil {
			drop(s.site.units[name])
			add(u.files)
			s.site.units[name] = u.files
		}
	}
	if !s.picturesStand {
		pictures := s.shownFiles()
		for name, files := range s.site.pictures {
			if !slices.EqualFunc(files, pictures[name], sameFile) {
				drop(files)
			}
		}
		for _, files := range pictures {
			add(files)
		}
		s.site.pictures = pictures
	}
	listed := false
	for name := range gone {
		if _, stays := now[name]; !stays {
			update.Remove(name)
			delete(s.site.files, name)
			listed = true
		}
	}
	for name, sum := range now {
		if _, before := s.site.files[name]; !before {
			listed = true
		}
		s.site.files[name] = sum
	}
	s.unplaced = map[unitName]bool{}
	s.picturesStand, s.rejoined = true, false
	if !listed {
		return nil
	}
	return update.List(slices.Sorted(maps.Keys(s.site.files)))
}

// placeStage stages only what the folder does not hold yet.
type placeStage struct {
	*output.Update
	files map[string]cache.Sum
}

func (p placeStage) have(f cache.File) bool {
	sum, there := p.files[f.Path]
	return there && sum == f.Sum
}

func (p placeStage) put(f cache.File) error { return p.Put(f.Path, f.Content, f.Sum) }
