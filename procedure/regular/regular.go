// Package regular opens regular files only. A named pipe keeps whoever opens it
// waiting for a writer that may never come, and a device may never end; neither is
// opened, not even through a link.
package regular

import (
	"io"
	"io/fs"
	"os"

	"matchmark/procedure/say"
)

// NotAFile says that something with the name of a file is none.
type NotAFile struct {
	// Is is what it is, such as "this is a named pipe, not a file".
	Is say.Text
}

// Error says what it is.
func (e *NotAFile) Error() string { return e.Is.String() }

// Says says what it is.
func (e *NotAFile) Says() say.Text { return e.Is }

// ErrTooLarge is a file that is longer than its reader takes.
var ErrTooLarge = say.Error(say.That("the file is too large"))

// Check returns a *NotAFile for everything that is not a regular file.
func Check(info fs.FileInfo) error {
	mode := info.Mode()
	switch {
	case mode.IsRegular():
		return nil
	case mode.IsDir():
		return &NotAFile{say.That("this is a folder, not a file")}
	case mode&fs.ModeNamedPipe != 0:
		return &NotAFile{say.That("this is a named pipe, not a file")}
	case mode&fs.ModeSocket != 0:
		return &NotAFile{say.That("this is a socket, not a file")}
	case mode&fs.ModeDevice != 0:
		return &NotAFile{say.That("this is a device, not a file")}
	}
	return &NotAFile{say.That("this is something else, not a file")}
}

// Open opens a regular file; anything else is a *NotAFile and is not opened.
func Open(fsys fs.FS, name string) (fs.File, error) {
	info, err := fs.Stat(fsys, name)
	if err != nil {
		return nil, err
	}
	if err := Check(info); err != nil {
		return nil, err
	}
	return fsys.Open(name)
}

// ReadFile reads a regular file of at most so many bytes by its path. A file that
// grows while it is read is read up to there.
func ReadFile(path string, most int64) ([]byte, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if err := Check(info); err != nil {
		return nil, err
	}
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	data, err := io.ReadAll(io.LimitReader(file, most+1))
	if err == nil && int64(len(data)) > most {
		return nil, say.Behind(ErrTooLarge, say.Error(say.That("it has more than %most MB", say.Count(most>>20))))
	}
	return data, err
}
