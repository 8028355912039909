package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"matchmark/content"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/source"
	"matchmark/procedure/source/highlight"
)

// libraryArgument is the argument of the commands that read a library.
type libraryArgument struct {
	Library string `arg:"" name:"LIBRARY" optional:"" help:"Folder of the library. Default: the demo library."`
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
// as they are, faults is called with the errors, to print them, and the result is what libraryErrors makes of them.
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
	all := errorsOnly(log.Sorted())
	if err := faults(all); err != nil {
		return nil, err
	}
	return nil, libraryErrors(all)
}

// messages writes diagnostics as text, with paths from where one stands.
func (a *libraryArgument) messages(c *console, all []diagnostic.Diagnostic) error {
	return a.printer(c, c.errColour).Print(below(c.err), all) // it takes out what a terminal would act on, and puts colours in
}

// counted ends a list of messages: how many there are, what came of it, and where to read more.
func (a *libraryArgument) counted(c *console, all []diagnostic.Diagnostic, outcome say.Text) {
	l := a.language(c)
	fmt.Fprintf(c.err, "\n%s. %s\n%s\n", count(all).In(l), outcome.In(l), explainHint.In(l))
}

// printer prints messages with their lines and with paths from where one stands.
func (a *libraryArgument) printer(c *console, colour bool) diagnostic.Printer {
	p := diagnostic.Printer{Excerpt: true, Folder: a.fromHere(), Language: a.language(c)}
	if colour {
		p.Highlight = highlight.Terminal
	}
	return p
}

// language is what messages on the library are said in: its own, unless another one is asked for. Of a library that
// cannot be read it is English.
func (a *libraryArgument) language(c *console) say.Language {
	if c.messages != "library" {
		return say.Translation(c.messages)
	}
	files, closeIt, err := a.open()
	if err != nil {
		return nil
	}
	defer closeIt()
	lib, err := source.NewReader().Settings(files, &diagnostic.Log{})
	if err != nil {
		return nil
	}
	return say.Translation(lib.Language)
}

// words is the language of what is printed for people about a library: its own, unless another one is asked for.
func (c *console) words(lib *procedure.Library) string {
	if c.messages != "library" {
		return c.messages
	}
	return lib.Language
}

// fromHere is the way from where one stands to the library, with slashes; empty for the demo and
// for the folder itself.
func (a *libraryArgument) fromHere() string {
	if a.Library == "" {
		return ""
	}
	way := filepath.Clean(a.Library)
	if here, err := os.Getwd(); err == nil && filepath.IsAbs(way) {
		if from, err := filepath.Rel(here, way); err == nil && filepath.IsLocal(from) {
			way = from
		}
	}
	if way == "." {
		return ""
	}
	return filepath.ToSlash(way)
}

// demoHint tells those who named no library what they got.
func (a *libraryArgument) demoHint(c *console) {
	if a.Library == "" {
		c.note(say.That("This is the demo library. Start one of your own: matchmark new DIR"))
	}
}

// noLibrary says why a folder cannot be opened.
func noLibrary(dir string, err error) error {
	info, lookErr := os.Stat(dir)
	switch {
	case lookErr == nil && !info.IsDir():
		return &failure{code: exitWorld, problem: say.That("%folder is a file; a library is a folder", say.Quoted(dir)), do: say.That("name the folder that the file lies in")}
	case errors.Is(lookErr, fs.ErrNotExist):
		do := say.That("check the name, or start a library there: matchmark new %dir", say.Name(typed(dir)))
		if near := folderLike(dir); near != "" {
			do = say.That("did you mean %near?", say.Quoted(near))
		}
		return &failure{code: exitWorld, problem: say.That("there is no folder %folder", say.Quoted(dir)), do: do}
	case errors.Is(err, fs.ErrPermission):
		return &failure{code: exitWorld, problem: say.That("folder %folder may not be read", say.Quoted(dir)), do: say.That("ask its owner for permission to read it")}
	}
	return &failure{code: exitWorld, problem: say.That("folder %folder cannot be opened: %cause", say.Quoted(dir), say.Why(err))}
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
