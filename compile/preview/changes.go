package preview

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"

	"github.com/fsnotify/fsnotify"

	"matchmark/procedure/say"
)

const (
	// settle is how long nothing may change before a change is reported: editors
	// save in several moves, and people save several files at once.
	settle = 120 * time.Millisecond
	// patience bounds the wait for that while changes keep coming.
	patience = 2 * time.Second
	// absence is how often a library that went away is looked for.
	absence = 500 * time.Millisecond
)

// Change is everything that changed in a folder since the last Change.
type Change struct {
	// Names are the files and folders that changed, slash-separated below the
	// folder, each once, in order.
	Names []string
	// All is true when any file may have changed.
	All bool
	// Err says that further changes may go unseen.
	Err error
}

// and joins two changes of which nobody has seen the first.
func (c Change) and(next Change) Change {
	names := append(slices.Clone(c.Names), next.Names...)
	slices.Sort(names)
	return Change{slices.Compact(names), c.All || next.All, errors.Join(c.Err, next.Err)}
}

// Changes watches a folder with all folders in it, also those made later. The
// channel is closed when ctx ends.
//
// The folder except, which may lie inside, is left alone, and so is what is
// hidden and what editors keep beside the files that they have open.
func Changes(ctx context.Context, dir, except string) (<-chan Change, error) {
	dir, err := filepath.EvalSymlinks(dir)
	if err != nil {
		return nil, err
	}
	except, err = resolve(except)
	if err != nil {
		return nil, err
	}
	if dir, err = filepath.Abs(dir); err != nil {
		return nil, err
	}
	watcher, err := fsnotify.NewWatcher()
	if err != nil {
		return nil, tooMany(err)
	}
	t := &tree{watcher: watcher, dir: dir, except: except, out: make(chan Change, 1)}
	if err := t.add(dir); err != nil {
		watcher.Close()
		return nil, err
	}
	go t.run(ctx)
	return t.out, nil
}

// resolve returns the absolute path of a folder that need not exist, links followed as far as it does.
func resolve(dir string) (string, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return "", err
	}
	for above, below := dir, ""; ; {
		if real, err := filepath.EvalSymlinks(above); err == nil {
			return filepath.Join(real, below), nil
		}
		if above == filepath.Dir(above) {
			return dir, nil
		}
		above, below = filepath.Dir(above), filepath.Join(filepath.Base(above), below)
	}
}

type tree struct {
	watcher     *fsnotify.Watcher
	dir, except string
	out         chan Change
	gone        bool // the folder itself is away
	// since is what has changed and was not sent yet.
	since Change
}

// run turns the system's events into changes that have settled.
func (t *tree) run(ctx context.Context) {
	defer close(t.out)
	defer t.watcher.Close()
	timer := time.NewTimer(time.Hour)
	timer.Stop()
	var first time.Time // of the events not reported yet
	wait := func() {
		if first.IsZero() {
			first = time.Now()
		}
		timer.Reset(max(0, min(settle, patience-time.Since(first))))
	}
	for {
		select {
		case <-ctx.Done():
			return
		case event, open := <-t.watcher.Events:
			if !open {
				return
			}
			if t.matters(event) {
				t.note(event)
				wait()
			}
		case _, open := <-t.watcher.Errors:
			if !open {
				return
			}
			t.since.All = true // events were lost: something changed
			wait()
		case <-timer.C:
			first = time.Time{}
			if !t.report() {
				timer.Reset(absence)
			}
		}
	}
}

// matters says whether an event can change what a compile gives.
func (t *tree) matters(event fsnotify.Event) bool {
	return !event.Op.Has(fsnotify.Chmod) && !t.skip(event.Name)
}

// skip says whether a path is not watched.
func (t *tree) skip(name string) bool {
	inside, err := filepath.Rel(t.dir, name)
	if err != nil {
		return true
	}
	if inside == "." {
		return false
	}
	if own, err := filepath.Rel(t.except, name); err == nil && own != ".." && !strings.HasPrefix(own, ".."+string(filepath.Separator)) {
		return true
	}
	for part := range strings.SplitSeq(filepath.ToSlash(inside), "/") {
		if strings.HasPrefix(part, ".") || strings.HasPrefix(part, "#") || strings.HasSuffix(part, "~") {
			return true
		}
	}
	return false
}

// note takes an event down, and watches a folder that is new.
func (t *tree) note(event fsnotify.Event) {
	inside, err := filepath.Rel(t.dir, event.Name)
	if err != nil || inside == "." {
		t.since.All = true
		return
	}
	more := Change{Names: []string{filepath.ToSlash(inside)}}
	if event.Op.Has(fsnotify.Create) {
		if info, err := os.Stat(event.Name); err == nil && info.IsDir() {
			more.Err = t.add(event.Name)
		}
	}
	t.since = t.since.and(more)
}

// report sends what has changed. It is false while the folder itself is away, which is sent once.
func (t *tree) report() bool {
	_, err := os.Stat(t.dir)
	wasGone := t.gone
	t.gone = err != nil
	if t.gone && wasGone {
		return false
	}
	if t.gone || wasGone {
		t.since.All = true
	}
	if !t.gone && t.since.All {
		t.since.Err = errors.Join(t.since.Err, t.add(t.dir))
	}
	for {
		select {
		case t.out <- t.since:
			t.since = Change{}
			return !t.gone
		case before := <-t.out: // was not fetched yet
			t.since = before.and(t.since)
		}
	}
}

// add watches a folder and those in it. Watching one twice does no harm.
func (t *tree) add(dir string) error {
	return filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil && name == t.dir:
			return err
		case err != nil:
			return nil // went away meanwhile, or may not be read: the compile says so
		case !d.IsDir():
			return nil
		case t.skip(name):
			return fs.SkipDir
		}
		if err := t.watcher.Add(name); err != nil && !errors.Is(err, fs.ErrNotExist) && !errors.Is(err, fs.ErrPermission) {
			return tooMany(err)
		}
		return nil
	})
}

// tooMany explains the system's limits on watching.
func tooMany(err error) error {
	if errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EMFILE) {
		return say.Because(say.That("the system does not let more folders be watched; end other programs that watch folders, or raise the limit"), err)
	}
	return say.Because(say.That("watching the library"), err)
}
