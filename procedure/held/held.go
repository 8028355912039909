// Package held is for files that somebody else has open. On Windows, a virus scanner or an indexer opens what was just written, and as long as it reads,
// nobody can rename, remove or rewrite it: that passes, and is waited for. Elsewhere open files are in nobody's way.
package held

import (
	"errors"
	"os"
	"sync/atomic"
	"time"
)

// The first wait, and how long is waited in all.
const (
	firstWait = 2 * time.Millisecond
	patience  = 2 * time.Second
)

// ErrInUse is what a Trial says of a file that somebody else has open, in the words of Windows.
var ErrInUse = errors.New("the process cannot access the file because it is being used by another process")

// Trial stands before the file system in tests and fails as another one does.
type Trial struct {
	// Says is asked before a file is touched; what it returns is what the system says. Of two names it is asked for both.
	Says func(name string) error
	// Patience is how long is waited in all.
	Patience time.Duration
	// Link is what making a hard link comes back with, Chmod what setting a mode does; nil leaves both to the system.
	Link, Chmod error
}

var trial atomic.Pointer[Trial]

// Try puts a trial before the file system; nil ends it. The program never calls it.
func Try(t *Trial) { trial.Store(t) }

// Rename is os.Rename that waits while somebody else holds one of the two.
func Rename(from, to string) error {
	return again(func() error { return os.Rename(from, to) }, from, to)
}

// Remove is os.Remove that waits while somebody else holds the file.
func Remove(name string) error {
	return again(func() error { return os.Remove(name) }, name)
}

// RemoveAll is os.RemoveAll that waits while somebody else holds a file in there.
func RemoveAll(name string) error {
	return again(func() error { return os.RemoveAll(name) }, name)
}

// WriteFile is os.WriteFile that waits while somebody else holds the file that is there.
func WriteFile(name string, content []byte, mode os.FileMode) error {
	return again(func() error { return os.WriteFile(name, content, mode) }, name)
}

// RenameIn is Rename inside a folder.
func RenameIn(root *os.Root, from, to string) error {
	return again(func() error { return root.Rename(from, to) }, from, to)
}

// RemoveIn is Remove inside a folder.
func RemoveIn(root *os.Root, name string) error {
	return again(func() error { return root.Remove(name) }, name)
}

// Link makes a hard link. Not every file system has any, and nobody waits for one: who gets an error copies the file.
func Link(from, to string) error {
	if t := trial.Load(); t != nil && t.Link != nil {
		return &os.LinkError{Op: "link", Old: from, New: to, Err: t.Link}
	}
	return os.Link(from, to)
}

// Chmod sets a mode, unless it is that already: a file system without modes, as that of most sticks, shows the same one for all,
// and refuses another, or ignores it, as Windows does.
func Chmod(name string, mode os.FileMode) error {
	if info, err := os.Stat(name); err == nil && info.Mode().Perm() == mode {
		return nil
	}
	if t := trial.Load(); t != nil && t.Chmod != nil {
		return &os.PathError{Op: "chmod", Path: name, Err: t.Chmod}
	}
	return os.Chmod(name, mode)
}

// InUse reports whether an error is that of a file which somebody else has open, for certain.
func InUse(err error) bool { return errors.Is(err, ErrInUse) || inUse(err) }

// Full reports whether an error is that of a full disk.
func Full(err error) bool { return full(err) }

// again does something to files until it ends otherwise than by what passes, each time after twice the wait, and gives up with the last error.
func again(do func() error, names ...string) error {
	long := patience
	if t := trial.Load(); t != nil {
		long, do = t.Patience, t.before(do, names)
	}
	waited := time.Duration(0)
	for wait := firstWait; ; wait *= 2 {
		err := do()
		if err == nil || !passes(err) || waited+wait > long {
			return err
		}
		time.Sleep(wait)
		waited += wait
	}
}

// passes reports whether an error may be that of a file which somebody else has open. On Windows a folder with such a file in it is "access denied".
func passes(err error) bool { return InUse(err) || denied(err) }

// before asks the trial for each of the names first.
func (t *Trial) before(do func() error, names []string) func() error {
	return func() error {
		for _, name := range names {
			if t.Says == nil {
				break
			}
			if err := t.Says(name); err != nil {
				return &os.PathError{Op: "open", Path: name, Err: err}
			}
		}
		return do()
	}
}
