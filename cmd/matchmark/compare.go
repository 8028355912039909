package main

import (
	"bytes"
	"errors"

	"matchmark/compile"
	"matchmark/compile/comparison"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

// compareCommand says what changed between two editions of a library.
type compareCommand struct {
	Old       string `arg:"" name:"OLD" help:"Folder of the old library."`
	New       string `arg:"" name:"NEW" help:"Folder of the new library."`
	Procedure string `placeholder:"ID" help:"Compare only the procedure with this id. Default: everything that both libraries contain."`
	Format    string `enum:"text,json" default:"text" help:"How to print what changed: text for people, json for scripts."`
	Output    string `short:"o" placeholder:"FILE.html" help:"Write a page for a trainer to read and print into this file, instead of printing text."`
}

// Help is shown below the command's one line.
func (*compareCommand) Help() string {
	return `Keep a copy of the library's folder when an edition is handed out; later, compare it with the folder as it is then.

It lists hazards and hold points first, then steps that are new, gone, moved or changed, the rows of the machine that they name, figures, and the time of the whole, old and new. What is written for the refitting is compared likewise, behind its procedure; what is derived follows the removal. Terms of the glossary (new, gone, with another meaning), quizzes, machines, courses and the library's settings come last. It says so when something changed and the edition is still called the same.

The words are those of the new library's language, unless --messages asks for another one. The page is one file that needs nothing else. Comparing needs two libraries that can be read; it does not check them.

The exit code is 0 whether something changed or not.`
}

// Run compares.
func (m *compareCommand) Run(c *console) error {
	if err := endsIn("-o", m.Output, ".html"); err != nil {
		return err
	}
	if m.Output != "" && m.Format != "text" {
		return &failure{code: exitUsage, problem: say.That("-o writes a page, and --format %format prints for scripts", say.Word(m.Format)), do: say.That("give one of the two")}
	}
	c.on(libraryArgument{Library: m.New})
	before, err := readLibrary(c, m.Old)
	if err != nil {
		return err
	}
	after, err := readLibrary(c, m.New)
	if err != nil {
		return err
	}
	view, err := comparison.Between(before, after, m.Procedure, c.words(after))
	if err != nil {
		return m.failed(err)
	}
	switch {
	case m.Output != "": // a page
	case m.Format == "json":
		return printJSON(c.out, view)
	default:
		return view.Text(c.out)
	}
	var page bytes.Buffer
	if err := view.Page(&page); err != nil {
		return &compile.InternalError{Err: err}
	}
	return writeFile(c, m.Output, openInBrowser, page.Bytes())
}

// failed says why two libraries cannot be compared.
func (m *compareCommand) failed(err error) error {
	var unknown *comparison.UnknownError
	if !errors.As(err, &unknown) {
		return &failure{code: exitLibrary, problem: say.That("%library: %cause", say.Name(m.New), say.Why(err))}
	}
	f := &failure{code: exitUsage, problem: say.Why(unknown)}
	if unknown.Suggest != "" {
		f.do = say.That("did you mean %near?", say.Quoted(unknown.Suggest))
	}
	return f
}

// readLibrary reads a library without checking it. The errors of its files are printed below its name.
func readLibrary(c *console, dir string) (*procedure.Library, error) {
	from := &libraryArgument{Library: dir}
	lib, err := from.readUnchecked(func(all []diagnostic.Diagnostic) error {
		c.warn(say.That("In %folder:", say.Name(dir)))
		if err := from.messages(c, all); err != nil {
			return err
		}
		from.counted(c, all, say.That("Nothing was compared."))
		return nil
	})
	if err != nil {
		return nil, err
	}
	files, closeIt, err := from.open()
	if err != nil {
		return nil, err
	}
	defer closeIt()
	comparison.LookAtPictures(lib, files)
	return lib, nil
}
