package writing

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"path"
	"slices"
	"time"

	"matchmark/procedure/held"
)

// What a file had before it was written is kept for a week, in a hidden folder of the library: nothing reads, publishes or
// watches it, and Git leaves it alone. A text that is written over in haste is so got back from the page.

const (
	historyFolder = ".matchmark/history"
	historyForm   = "20060102T150405.000Z" // of a version's name, in UTC
	historyLasts  = 7 * 24 * time.Hour
	// muchGone is how many bytes a save takes out that is kept at once. Else what somebody types is kept every betweenKept.
	muchGone    = 200
	betweenKept = 20 * time.Second
)

// version is what a file was once.
type version struct {
	ID string `json:"id"`
	// At is when it was written over.
	At    time.Time `json:"at"`
	Bytes int64     `json:"bytes"`
}

// remember keeps what a file had before it is written over.
func (r *Room) remember(root *os.Root, name string, old, now []byte) error {
	if len(bytes.TrimSpace(old)) == 0 {
		return nil
	}
	all, err := versionsOf(root, name)
	if err != nil {
		return err
	}
	at := r.now().UTC()
	if len(all) > 0 && at.Sub(all[0].At) < betweenKept && len(old)-len(now) < muchGone {
		return nil
	}
	return r.keepVersion(root, name, old, all)
}

// keepVersion puts a text into the history, unless it is what was put there last, and takes away what is out of date.
func (r *Room) keepVersion(root *os.Root, name string, source []byte, all []version) error {
	folder := path.Join(historyFolder, name)
	if len(all) > 0 {
		if last, err := root.ReadFile(path.Join(folder, all[0].ID)); err == nil && bytes.Equal(last, source) {
			return nil
		}
	}
	if err := root.MkdirAll(folder, 0o777); err != nil {
		return err
	}
	if err := writeNew(root, path.Join(path.Dir(historyFolder), ".gitignore"), "*\n"); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	at := r.now().UTC()
	for _, drop := range outdated(all, at) {
		if err := held.RemoveIn(root, path.Join(folder, drop.ID)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	err := writeNew(root, path.Join(folder, at.Format(historyForm)), string(source))
	if errors.Is(err, fs.ErrExist) {
		return nil // of this same moment
	}
	return err
}

// versionsOf are a file's versions, the newest first.
func versionsOf(root *os.Root, name string) (out []version, err error) {
	folder, err := root.Open(path.Join(historyFolder, name))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	defer folder.Close()
	entries, err := folder.ReadDir(-1)
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		at, err := time.Parse(historyForm, e.Name())
		info, gone := e.Info()
		if err != nil || gone != nil || !info.Mode().IsRegular() {
			continue // not ours, or gone by now
		}
		out = append(out, version{e.Name(), at, info.Size()})
	}
	slices.SortFunc(out, func(a, b version) int { return b.At.Compare(a.At) })
	return out, nil
}

// outdated are the versions that go: what is older than a week, and of what is older the more the fewer are kept. Versions
// come newest first.
func outdated(all []version, now time.Time) (out []version) {
	var last time.Time
	for _, v := range all {
		age := now.Sub(v.At)
		apart := time.Duration(0)
		switch {
		case age > 24*time.Hour:
			apart = 30 * time.Minute
		case age > time.Hour:
			apart = 5 * time.Minute
		}
		if age > historyLasts || !last.IsZero() && last.Sub(v.At) < apart {
			out = append(out, v)
			continue
		}
		last = v.At
	}
	return out
}

// versions lists what a file was in the last week.
func versions(r *Room, _ *http.Request, _ http.ResponseWriter, a *asked) (any, error) {
	root, err := r.openFor(a.File)
	if err != nil {
		return nil, err
	}
	defer root.Close()
	all, err := versionsOf(root, a.File)
	if err != nil {
		return nil, err
	}
	if all == nil {
		all = []version{}
	}
	return all, nil
}

// openVersion reads one of them.
func openVersion(r *Room, _ *http.Request, _ http.ResponseWriter, a *asked) (any, error) {
	root, err := r.openFor(a.File)
	if err != nil {
		return nil, err
	}
	defer root.Close()
	if _, err := time.Parse(historyForm, a.Name); err != nil {
		return nil, &Refusal{Problem: "gone", Detail: fmt.Sprintf("%q is no version.", a.Name), status: http.StatusNotFound}
	}
	source, err := root.ReadFile(path.Join(historyFolder, a.File, a.Name))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, &Refusal{Problem: "gone", Detail: "The version is not there any more.", status: http.StatusNotFound}
	}
	if err != nil {
		return nil, err
	}
	return opened{Text: shown(source), Sum: sumOf(source)}, nil
}

// keepText keeps a text that a page has and that is not going to be written, such as one of two that the author chose between.
func keepText(r *Room, _ *http.Request, _ http.ResponseWriter, a *asked) (any, error) {
	root, err := r.openFor(a.File)
	if err != nil {
		return nil, err
	}
	defer root.Close()
	all, err := versionsOf(root, a.File)
	if err == nil {
		err = r.keepVersion(root, a.File, []byte(a.Text), all)
	}
	if err != nil {
		return nil, unwritable(err)
	}
	return saved{}, nil
}
