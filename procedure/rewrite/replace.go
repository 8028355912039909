package rewrite

import (
	"bytes"
	"errors"
	"os"
	"path"

	"matchmark/procedure/held"
	"matchmark/procedure/say"
)

// ErrLink is about a file that is a link, or no file at all.
var ErrLink = say.Error(say.That("it is a link, and what it leads to may be shared with others; change it there by hand"))

// ChangedError is about a file that somebody has changed since it was read. Nothing was written.
type ChangedError struct{ File string }

// Error returns what happened.
func (e *ChangedError) Error() string { return e.File + " was changed since it was read" }

// WriteError is about a file that cannot be written.
type WriteError struct {
	File string
	// Replaced is how many of the files before it have their new source already.
	Replaced int
	Err      error
}

// Error returns which file it is, and why.
func (e *WriteError) Error() string { return e.Says().String() }

// Says says which file it is, and why.
func (e *WriteError) Says() say.Text {
	return say.That("%file cannot be written: %cause", say.Name(e.File), say.Why(e.Err))
}

// Unwrap returns why.
func (e *WriteError) Unwrap() error { return e.Err }

// Replace puts new sources in the place of a library's files: all new ones are
// written beside the old ones first, and each takes the old one's place in one
// go, with its permissions. A file that somebody has changed since it was read
// stops it before anything is changed; so does a file that is a link.
//
// The error is a *ChangedError or a *WriteError.
func Replace(root *os.Root, files []File) error {
	var beside []string
	defer func() {
		for _, name := range beside {
			held.RemoveIn(root, name) // those that took their place are not there any more
		}
	}()
	for _, f := range files {
		name, err := writeBeside(root, f)
		if name != "" {
			beside = append(beside, name)
		}
		if err != nil {
			return &WriteError{File: f.Old.Name, Err: err}
		}
	}
	for _, f := range files {
		now, err := root.ReadFile(f.Old.Name)
		if err != nil {
			return &WriteError{File: f.Old.Name, Err: err}
		}
		if !bytes.Equal(now, f.Old.Source) {
			return &ChangedError{f.Old.Name}
		}
	}
	for i, f := range files {
		if err := held.RenameIn(root, beside[i], f.Old.Name); err != nil {
			return &WriteError{f.Old.Name, i, err}
		}
	}
	return nil
}

// writeBeside writes a file's new source next to it, with the same permissions.
// It returns the name of what it has written, also when it fails in the middle.
func writeBeside(root *os.Root, f File) (name string, err error) {
	info, err := root.Lstat(f.Old.Name)
	if err != nil {
		return "", err
	}
	if !info.Mode().IsRegular() {
		return "", ErrLink
	}
	name = path.Join(path.Dir(f.Old.Name), "."+path.Base(f.Old.Name)+".new")
	out, err := root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, info.Mode().Perm())
	if err != nil {
		return "", err
	}
	_, err = out.Write(f.Source)
	// The umask does not count: the file keeps the permissions that it has.
	err = errors.Join(err, out.Chmod(info.Mode().Perm()), out.Sync(), out.Close())
	return name, err
}
