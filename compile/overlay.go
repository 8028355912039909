package compile

import (
	"bytes"
	"io/fs"
	"path"
	"time"
)

// Overlay is text that lies over a library's folder without being saved, by library
// path: what an editor has open. A file that the folder does not hold is there too.
type Overlay map[string][]byte

// Onto is a folder with the overlay over it.
func (o Overlay) Onto(folder fs.FS) fs.FS {
	if len(o) == 0 {
		return folder
	}
	return overlaid{folder, o}
}

type overlaid struct {
	fs.FS
	over Overlay
}

// Open opens a file as the overlay has it, or else the folder.
func (o overlaid) Open(name string) (fs.File, error) {
	if content, over := o.over[name]; over {
		return &unsaved{bytes.NewReader(content), path.Base(name)}, nil
	}
	return o.FS.Open(name)
}

// unsaved is a file of an overlay.
type unsaved struct {
	*bytes.Reader
	name string
}

func (f *unsaved) Stat() (fs.FileInfo, error) { return f, nil }
func (f *unsaved) Close() error               { return nil }

// The file describes itself.
func (f *unsaved) Name() string       { return f.name }
func (f *unsaved) Mode() fs.FileMode  { return 0o444 }
func (f *unsaved) ModTime() time.Time { return time.Time{} }
func (f *unsaved) IsDir() bool        { return false }
func (f *unsaved) Sys() any           { return nil }
