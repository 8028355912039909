package main

import (
	"errors"
	"os"
	"path/filepath"
	"strings"

	"matchmark/compile"
	"matchmark/compile/interchange"
	"matchmark/compile/page"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/held"
	"matchmark/procedure/say"
)

// exportCommand makes packages of quizzes.
type exportCommand struct {
	libraryArgument
	Quiz   string `placeholder:"ID" help:"Export only the quiz with this id. Default: all quizzes."`
	As     string `required:"" enum:"scorm,qti" placeholder:"STANDARD" help:"scorm: SCORM 1.2, the quiz as it is on the site, with its results handed to the learning system. qti: QTI 3.0, the questions for systems that show them in their own way."`
	Output string `short:"o" placeholder:"FILE.zip" help:"File for the package of one quiz, or folder for those of all. ID-STANDARD.zip here, or the folder \"packages\", when not given."`
}

// Help is shown below the command's one line.
func (*exportCommand) Help() string {
	return `SCORM loses: links to steps and printed forms become plain words, unless library.yaml states the address of the site. The limits of a number are not recorded, and a number is recorded in the unit of the right answer.

QTI loses: shuffling anew at each try and the limit of tries; both are up to the system that shows the quiz. A number is typed in the one unit that is stated, with a decimal point. Links to steps become plain words, unless library.yaml states the address of the site. A player that shows single items, as some do, leaves out the pass mark and the critical questions, which belong to the test as a whole. Some let lines be ordered by dragging alone, and take lines that nobody moved as an answer.

The same library gives the same packages, byte by byte. When the library has errors, nothing is written.`
}

// Run exports.
func (m *exportCommand) Run(c *console) error {
	if err := m.checkOutput(); err != nil {
		return err
	}
	files, closeIt, err := m.open()
	if err != nil {
		return err
	}
	defer closeIt()
	var log diagnostic.Log
	packages, err := interchange.Packages(files, interchange.Standard(m.As), m.Quiz, &log)
	if errors.Is(err, compile.ErrDiagnostics) {
		all := errorsOnly(log.Sorted())
		if err := m.messages(c, all); err != nil {
			return err
		}
		m.counted(c, all, say.That("Nothing was written."))
		return libraryErrors(all)
	}
	var unknown *interchange.UnknownError
	switch {
	case errors.As(err, &unknown):
		f := &failure{code: exitUsage, problem: say.Why(unknown)}
		if unknown.Suggest != "" {
			f.do = say.That("did you mean %near?", say.Quoted(unknown.Suggest))
		}
		return f
	case err != nil:
		return err
	case len(packages) == 0:
		return &failure{code: exitLibrary, problem: say.That("the library has no quiz"), do: say.That("write one: the language reference says how")}
	}
	m.demoHint(c)
	if m.isFile() && len(packages) > 1 {
		return &failure{code: exitUsage, problem: say.That("%name is one file, and the library has %count %count(quiz|quizzes)", say.Quoted(m.Output), say.Count(len(packages))), do: say.That("name one with --quiz, or a folder with -o")}
	}
	for _, p := range packages {
		if m.Output == standard {
			_, err := below(c.out).Write(p.Content)
			return err
		}
		name := m.place(p)
		if err := writeWhole(name, p.Content); err != nil {
			return &failure{code: exitWorld, problem: say.That("%name cannot be written: %cause", say.Quoted(name), say.Why(reason(err))), do: say.That("name another place with -o")}
		}
		c.note(say.That("Wrote %file.", say.Name(name)))
	}
	return nil
}

// isFile says whether -o names one file, and not a folder.
func (m *exportCommand) isFile() bool {
	return m.Quiz != "" || m.Output == standard || strings.EqualFold(filepath.Ext(m.Output), ".zip")
}

// checkOutput refuses what packages must not be written over or into.
func (m *exportCommand) checkOutput() error {
	if m.Quiz != "" {
		return endsIn("-o", m.Output, ".zip")
	}
	if _, err := os.Stat(filepath.Join(m.Output, filepath.FromSlash(page.SearchIndexPath))); m.Output != "" && err == nil {
		return &failure{code: exitUsage, problem: say.That("folder %name holds a site; packages in it would block the next compile", say.Quoted(m.Output)), do: say.That("name another folder with -o")}
	}
	return nil
}

// place is where a package goes.
func (m *exportCommand) place(p interchange.Package) string {
	switch {
	case m.Output == "" && m.Quiz == "":
		return filepath.Join("packages", p.Name)
	case m.Output == "":
		return p.Name
	case m.isFile():
		return m.Output
	}
	return filepath.Join(m.Output, p.Name)
}

// writeWhole writes a file beside its place and moves it there, so that a file
// that was there before stays whole whatever happens. It makes the folder.
func writeWhole(name string, content []byte) error {
	if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
		return err
	}
	part := name + ".part"
	if err := held.WriteFile(part, content, 0o666); err != nil {
		return err
	}
	if err := held.Rename(part, name); err != nil {
		held.Remove(part)
		return err
	}
	return nil
}
