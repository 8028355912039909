package output

import (
	"errors"
	"io/fs"
	"syscall"

	"matchmark/procedure/held"
	"matchmark/procedure/say"
)

// Kind says what is wrong with a folder or an address.
type Kind int

const (
	// NotOurs is a folder that holds files that matchmark did not write.
	NotOurs Kind = iota
	// Busy is a folder that another compile is writing at this moment.
	Busy
	// CannotWrite is a folder that the system does not let us write.
	CannotWrite
	// Unusable is a folder of a class, or an address to serve at, that cannot be used.
	Unusable
)

// Fault is why a folder, or an address, cannot be used, in words for people. A folder that
// cannot take the site still holds the old one, whole.
type Fault struct {
	Kind Kind
	// Problem says what is wrong, Do says what to do about it, one line each.
	Problem, Do say.Text
	// Err is what the system said; may be nil.
	Err error
}

// Error returns what is wrong and what to do about it.
func (f *Fault) Error() string { return f.Says().String() }

// Says says what is wrong, and what to do.
func (f *Fault) Says() say.Text { return say.That("%what: %cause", f.Problem, f.Do) }

// Unwrap returns what the system said.
func (f *Fault) Unwrap() error { return f.Err }

func cannotWrite(dir string, err error) *Fault {
	f := &Fault{
		Kind:    CannotWrite,
		Problem: say.That("folder %folder cannot be written (%reason)", say.Quoted(dir), say.Why(reason(err))),
		Do:      say.That("give the folder's owner leave to write there, or name another folder with -o"),
		Err:     err,
	}
	switch {
	case held.Full(err):
		f.Do = say.That("make room on the disk, or name a folder on another disk with -o")
	case held.InUse(err):
		f.Do = say.That("close what has a file in there open, such as a browser, an editor or a virus scanner, and do it again")
	case errors.Is(err, syscall.ENOTDIR):
		f.Do = say.That("name a folder, not a file, with -o")
	case errors.Is(err, syscall.EBUSY):
		f.Do = say.That("name a folder inside this one with -o: the system does not let this one be replaced")
	}
	return f
}

// reason returns what the system said without the paths of our own temporary files.
func reason(err error) error {
	var at *fs.PathError
	if errors.As(err, &at) {
		return at.Err
	}
	var number syscall.Errno
	if errors.As(err, &number) {
		return number
	}
	return err
}
