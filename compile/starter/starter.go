// Package starter holds the small library that an author begins with: it
// compiles without a message, and its comments teach what can be written.
package starter

import (
	"embed"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"matchmark/compile/output"
	"matchmark/procedure/held"
	"matchmark/procedure/say"
)

//go:embed library
var embedded embed.FS

// Library returns the starter library.
func Library() fs.FS {
	files, err := fs.Sub(embedded, "library")
	if err != nil {
		panic(err) // the name is fixed and valid
	}
	return files
}

// Write puts the starter library into a folder, which is made if it is not there,
// and returns the files' paths in it. A folder that holds anything but what
// version control keeps there is refused with an *output.Fault. When a file cannot be written, those
// written before are taken away again.
func Write(dir string) (names []string, err error) {
	if err := refuseUsed(dir); err != nil {
		return nil, err
	}
	files := Library()
	defer func() {
		if err != nil {
			for _, name := range names {
				held.Remove(filepath.Join(dir, filepath.FromSlash(name)))
			}
			names = nil
		}
	}()
	err = fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		at := filepath.Join(dir, filepath.FromSlash(name))
		if d.IsDir() {
			return cannotWrite(dir, os.MkdirAll(at, 0o777))
		}
		content, err := fs.ReadFile(files, name)
		if err != nil {
			return err
		}
		if err := writeNew(at, content); err != nil {
			return cannotWrite(dir, err)
		}
		names = append(names, name)
		return nil
	})
	return names, err
}

// refuseUsed returns a fault when the folder is in use.
func refuseUsed(dir string) error {
	entries, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		if info, lookErr := os.Stat(dir); lookErr == nil && !info.IsDir() {
			return &output.Fault{Kind: output.NotOurs, Problem: say.That("%folder is a file", say.Quoted(dir)), Do: say.That("name a folder that is empty or not there yet"), Err: err}
		}
		return cannotWrite(dir, err)
	}
	for _, e := range entries {
		if e.Name() != ".git" {
			return &output.Fault{
				Kind:    output.NotOurs,
				Problem: say.That("folder %folder is not empty: it holds %file", say.Quoted(dir), say.Quoted(e.Name())),
				Do:      say.That("name a folder that is empty or not there yet; nothing was changed"),
			}
		}
	}
	return nil
}

// writeNew writes a file that must not be there yet.
func writeNew(name string, content []byte) error {
	file, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	if _, err := file.Write(content); err != nil {
		file.Close()
		held.Remove(name)
		return err
	}
	return file.Close()
}

// cannotWrite makes a fault of what the system said; nil stays nil.
func cannotWrite(dir string, err error) error {
	if err == nil {
		return nil
	}
	reason := err
	var at *fs.PathError
	if errors.As(err, &at) {
		reason = at.Err
	}
	return &output.Fault{
		Kind:    output.CannotWrite,
		Problem: say.That("folder %folder cannot be written (%reason)", say.Quoted(dir), say.Foreign(reason.Error())),
		Do:      say.That("name another folder, or ask the owner of this one for leave to write there"),
		Err:     err,
	}
}
