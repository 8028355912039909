package output

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"matchmark/compile/filelock"
	"matchmark/procedure/held"
	"matchmark/procedure/say"
)

// Marker is the file that says a folder is a site of ours and lists its files.
const Marker = ".matchmark-site"

const markerHead = "This folder is a site that matchmark compiled. The next compile replaces it whole.\n"

// Build is a site in the making. It collects the files beside the folder that
// it is for, in a hidden folder of the same file system, and swaps them in when
// all are there. Until then, and whenever the process dies, the old site stands.
type Build struct {
	dir      string // the site's folder, absolute and without links
	named    string // the folder as the user named it
	work     string // the hidden folder beside it
	lock     *os.File
	exchange func(a, b string) error

	mu      sync.Mutex
	names   []string
	seen    map[string]bool // lower-case names: some file systems do not tell case apart
	folders map[string]bool
	stamps  map[string]Stamp

	// The old site's files as they were stamped; see Trust.
	trusted  map[string]Stamp
	thorough bool
}

// Begin starts a site for a folder, which need not exist. It returns a *Fault
// when the folder holds files of somebody else, when another compile is at work
// on it, or when it cannot be written.
func Begin(dir string) (*Build, error) { return begin(dir, exchange) }

func begin(named string, exchange func(a, b string) error) (*Build, error) {
	b, err := enterFolder(named, exchange)
	if err != nil {
		return nil, err
	}
	err = b.refuseForeign()
	if err == nil {
		if err = os.Mkdir(b.fresh(), 0o777); err != nil {
			err = cannotWrite(named, err)
		}
	}
	if err != nil {
		b.clear()
		return nil, err
	}
	return b, nil
}

// enterFolder takes the lock on a site's folder and mends what a killed compile left.
func enterFolder(named string, exchange func(a, b string) error) (*Build, error) {
	dir, err := locate(named)
	if err != nil {
		return nil, cannotWrite(named, err)
	}
	work := workFolder(dir)
	lock, err := takeLock(work)
	if errors.Is(err, filelock.ErrLocked) {
		return nil, &Fault{Busy, say.That("another compile is writing folder %folder", say.Quoted(named)), say.That("wait for it to end, or name another folder with -o"), nil}
	}
	if err != nil {
		return nil, cannotWrite(named, err)
	}
	b := &Build{dir: dir, named: named, work: work, lock: lock, exchange: exchange, seen: map[string]bool{}, folders: map[string]bool{}, stamps: map[string]Stamp{}}
	if err := b.mend(); err != nil {
		b.clear()
		return nil, cannotWrite(named, err)
	}
	return b, nil
}

// workFolder is the hidden folder beside a site's folder.
func workFolder(dir string) string {
	return filepath.Join(filepath.Dir(dir), "."+filepath.Base(dir)+".matchmark")
}

// locate returns the absolute place of a folder, links followed, and makes the folders above it.
func locate(dir string) (string, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return "", err
	}
	if real, err := filepath.EvalSymlinks(dir); err == nil {
		return real, nil
	}
	if err := os.MkdirAll(filepath.Dir(dir), 0o777); err != nil {
		return "", err
	}
	parent, err := filepath.EvalSymlinks(filepath.Dir(dir))
	return filepath.Join(parent, filepath.Base(dir)), err
}

// mend completes or takes back what a killed compile left half done.
func (b *Build) mend() error {
	if _, err := os.Lstat(b.dir); errors.Is(err, fs.ErrNotExist) {
		// Killed between the two renames of a swap: the old site goes back.
		if err := held.Rename(b.old(), b.dir); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	if err := b.rollForward(); err != nil {
		return err
	}
	for _, left := range []string{b.fresh(), b.old(), b.next(), b.journal() + ".new"} {
		if err := held.RemoveAll(left); err != nil {
			return err
		}
	}
	return nil
}

func (b *Build) fresh() string { return filepath.Join(b.work, "new") }
func (b *Build) old() string   { return filepath.Join(b.work, "old") }

// Write takes a file of the site. A file whose bytes are those of the old site
// keeps its time of change.
func (b *Build) Write(name string, content []byte) error {
	if err := CheckPath(name); err != nil {
		return err
	}
	if err := b.enter(name); err != nil {
		return err
	}
	if err := b.folder(name); err != nil {
		return err
	}
	if err := b.put(name, content); err != nil {
		return cannotWrite(b.named, err)
	}
	return nil
}

// enter books a name.
func (b *Build) enter(name string) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	key := strings.ToLower(name)
	if b.seen[key] {
		return fmt.Errorf("site path %q is written twice", name)
	}
	b.seen[key] = true
	b.names = append(b.names, name)
	return nil
}

// folder makes the folder of a name.
func (b *Build) folder(name string) error {
	folder := path.Dir(name)
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.folders[folder] {
		return nil
	}
	if err := os.MkdirAll(b.at(b.fresh(), folder), 0o777); err != nil {
		return cannotWrite(b.named, err)
	}
	b.folders[folder] = true
	return nil
}

func (b *Build) put(name string, content []byte) error {
	to, before := b.at(b.fresh(), name), b.at(b.dir, name)
	info, err := os.Lstat(before)
	if err != nil || !info.Mode().IsRegular() || info.Size() != int64(len(content)) {
		return os.WriteFile(to, content, 0o666)
	}
	if same, err := os.ReadFile(before); err != nil || !bytes.Equal(same, content) {
		return os.WriteFile(to, content, 0o666)
	}
	if held.Link(before, to) == nil {
		return nil
	}
	if err := os.WriteFile(to, content, 0o666); err != nil {
		return err
	}
	return os.Chtimes(to, info.ModTime(), info.ModTime())
}

// Commit swaps the new site in and ends the build. When it returns an error,
// the old site stands.
//
// The files are handed to the system but not forced to the disk: a site can be
// compiled again after a power cut.
func (b *Build) Commit() error {
	defer b.clear()
	slices.Sort(b.names)
	if err := b.put(Marker, marker(b.names)); err != nil {
		return cannotWrite(b.named, err)
	}
	if err := b.swap(); err != nil {
		return cannotWrite(b.named, err)
	}
	return nil
}

func (b *Build) swap() error {
	info, err := os.Lstat(b.dir)
	if errors.Is(err, fs.ErrNotExist) {
		return held.Rename(b.fresh(), b.dir)
	}
	if err != nil {
		return err
	}
	if err := held.Chmod(b.fresh(), info.Mode().Perm()); err != nil {
		return err
	}
	if err := b.exchange(b.fresh(), b.dir); !errors.Is(err, errors.ErrUnsupported) {
		return err
	}
	if err := held.Rename(b.dir, b.old()); err != nil {
		return err
	}
	if err := held.Rename(b.fresh(), b.dir); err != nil {
		return errors.Join(err, held.Rename(b.old(), b.dir))
	}
	return nil
}

// Abort ends the build and leaves the old site as it is.
func (b *Build) Abort() { b.clear() }

// clear takes the hidden folder away and lets the next compile in. What cannot
// be taken away now is taken away by the next Begin.
func (b *Build) clear() {
	if b.lock == nil {
		return
	}
	held.RemoveAll(b.fresh())
	if _, err := os.Lstat(b.journal()); errors.Is(err, fs.ErrNotExist) {
		held.RemoveAll(b.next()) // else the next Begin needs what is staged
	}
	if _, err := os.Lstat(b.dir); err == nil {
		held.RemoveAll(b.old()) // the only copy of the site when putting it back failed
	}
	dropLock(b.work, b.lock)
	b.lock = nil
}
