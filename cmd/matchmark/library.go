package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"matchmark/compile"
	"matchmark/content"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/source"
)

// libraryArgument is the argument of the commands that read a library.
type libraryArgument struct {
	Library string `arg:"" name:"LIBRARY" optional:"" help:"Folder of the library. The demo library when not given."`
}

// open opens the library that was named, or the demo. Nothing outside its folder
// can be read through it. Close it after use.
func (a *libraryArgument) open() (files fs.FS, closeIt func() error, err error) {
	if a.Library == "" {
		return content.Library(), func() error { return nil }, nil
	}
	root, err := os.OpenRoot(a.Library)
	if err != nil {
		return nil, nil, noLibrary(a.Library, err)
	}
	return root.FS(), root.Close, nil
}

// readUnchecked reads a library without checking it. When its files cannot be read
// as they are, faults is called with the errors, to print them, and the result is compile.ErrDiagnostics.
func (a *libraryArgument) readUnchecked(faults func([]diagnostic.Diagnostic) error) (*procedure.Library, error) {
	files, closeIt, err := a.open()
	if err != nil {
		return nil, err
	}
	defer closeIt()
	var log diagnostic.Log
	read, err := source.Read(files, &log)
	if err != nil {
		return nil, err
	}
	lib := read.Resolve(&log)
	if !log.HasErrors() {
		return lib, nil
	}
	if err := faults(errorsOnly(log.Sorted())); err != nil {
		return nil, err
	}
	return nil, compile.ErrDiagnostics
}

// demoHint tells those who named no library what they got.
func (a *libraryArgument) demoHint(c *console) {
	if a.Library == "" {
		fmt.Fprintln(c.out, "This is the demo library. Start one of your own: matchmark new DIR")
	}
}

// noLibrary says why a folder cannot be opened.
func noLibrary(dir string, err error) error {
	info, lookErr := os.Stat(dir)
	switch {
	case lookErr == nil && !info.IsDir():
		return &failure{code: exitWorld, problem: fmt.Sprintf("%q is a file; a library is a folder", dir), do: "name the folder that the file lies in"}
	case errors.Is(lookErr, fs.ErrNotExist):
		do := fmt.Sprintf("check the name, or start a library there: matchmark new %s", typed(dir))
		if near := folderLike(dir); near != "" {
			do = fmt.Sprintf("did you mean %q?", near)
		}
		return &failure{code: exitWorld, problem: fmt.Sprintf("there is no folder %q", dir), do: do}
	case errors.Is(err, fs.ErrPermission):
		return &failure{code: exitWorld, problem: fmt.Sprintf("folder %q may not be read", dir), do: "ask its owner for leave to read it"}
	}
	return fmt.Errorf("folder %q cannot be opened: %w", dir, err)
}

// folderLike returns a folder beside the named one whose name is much like it.
func folderLike(dir string) string {
	above, name := filepath.Split(filepath.Clean(dir))
	entries, err := os.ReadDir(filepath.Clean(above))
	if above == "" {
		entries, err = os.ReadDir(".")
	}
	if err != nil {
		return ""
	}
	var folders []string
	for _, e := range entries {
		if e.IsDir() {
			folders = append(folders, e.Name())
		}
	}
	near := diagnostic.Nearest(name, folders)
	if near == "" {
		return ""
	}
	return above + near
}
