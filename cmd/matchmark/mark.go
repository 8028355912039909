package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"

	"matchmark/compile"
	"matchmark/compile/classresult"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/quiz/collect"
)

// markCommand marks the results of a class.
type markCommand struct {
	Words  []string `arg:"" name:"[LIBRARY] RESULTS" help:"Folder of the library, the demo library when not given, and the files of results, each ending in .json or .csv."`
	Quiz   string   `placeholder:"ID" help:"Mark the results of the quiz with this id. The one that most files are on when not given."`
	Output string   `short:"o" placeholder:"FILE.html" help:"Write a page for a trainer to read and print into this file, besides the text."`
	CSV    string   `name:"csv" placeholder:"FILE.csv" help:"Write the figures on each question into this file, for a spreadsheet."`
}

// Help is shown below the command's one line.
func (*markCommand) Help() string {
	return `Results are the files that tablets save, and tables of answers from paper forms. A table has a line for each learner, and its first line names the quiz and the questions, by id or by number on the form:

  oven-quiz 3fa1b2c4d5e6,1,2,3,4
  Ada Berg,B,3.6 L,true,C A B
  Ben Oyelaran,A,,false,A B C

After the quiz stands the wording that is printed on the form; it may be left out. Write letters as on the form, numbers with a unit where it is not that of the right answer, true or false, and nothing where nothing was answered.

It prints who passed, which questions need a look, which steps were not understood, and the figures on each question. The last try of a learner counts; the figures on questions are about first tries.

The exit code is 1 when a file, or a line of one, could not be used. All others are marked nevertheless.`
}

// Run marks.
func (m *markCommand) Run(c *console) error {
	from, names, err := m.sort()
	if err != nil {
		return err
	}
	lib, err := m.library(c, from)
	if err != nil {
		return err
	}
	for _, err := range []error{endsIn("-o", m.Output, ".html"), endsIn("--csv", m.CSV, ".csv"), notRead("--csv", m.CSV, names)} {
		if err != nil {
			return err
		}
	}
	var files []collect.File
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			return unreadable(name, err)
		}
		files = append(files, collect.File{Name: name, Data: data})
	}
	q, err := m.quiz(lib, files)
	if err != nil {
		return err
	}
	found := collect.Read(q, files)
	from.demoHint(c)
	lost := printFaults(c.err, found.Faults)
	if err := m.write(c, lib, found); err != nil {
		return err
	}
	if lost > 0 {
		return &failure{code: exitLibrary, problem: plural(lost, "fault keeps a result", "faults keep results") + " from being counted; all others are marked"}
	}
	return nil
}

// printFaults prints what is wrong with the files and returns how many faults keep
// a result from being counted. A note on many files is printed once: after a
// change to the quiz it is about all of them.
func printFaults(out io.Writer, faults []collect.Fault) (lost int) {
	notes := map[string]int{}
	for _, f := range faults {
		if !f.Lost && f.Line == 0 {
			notes[f.Message]++
		}
	}
	for _, f := range faults {
		place, kind := f.Place(), "note"
		switch {
		case f.Lost:
			kind = "error"
			lost++
		case f.Line == 0:
			n := notes[f.Message]
			if notes[f.Message] = 0; n == 0 {
				continue // printed already
			}
			if n > 1 {
				place += " and " + plural(n-1, "other file", "other files")
			}
		}
		fmt.Fprintf(out, "%s: %s: %s\n", place, kind, f.Message)
		if f.Do != "" {
			fmt.Fprintf(out, "  do: %s\n", f.Do)
		}
	}
	return lost
}

// sort tells the library from the results.
func (m *markCommand) sort() (libraryArgument, []string, error) {
	var from libraryArgument
	names := m.Words
	if !collect.IsResults(names[0]) {
		from.Library, names = names[0], names[1:]
	}
	if len(names) == 0 {
		return from, nil, &failure{code: exitUsage, problem: "missing: a file of results", do: `name files that end in .json or .csv; "matchmark mark --help" shows what stands in them`}
	}
	for _, name := range names {
		if !collect.IsResults(name) {
			return from, nil, &failure{code: exitUsage, problem: fmt.Sprintf("%q is no file of results", name), do: "name files that end in .json or .csv; the library comes first"}
		}
	}
	return from, names, nil
}

// library reads the library without checking it: a class is marked by the quiz as it is.
func (m *markCommand) library(c *console, from libraryArgument) (*procedure.Library, error) {
	lib, err := from.readUnchecked(func(all []diagnostic.Diagnostic) error {
		if err := messages(c.err, c.errColour, all); err != nil {
			return err
		}
		fmt.Fprintf(c.err, "\nThe library has errors, so nothing was marked.\n")
		return nil
	})
	if err != nil {
		return nil, err
	}
	return lib, compile.MakeQuestions(lib)
}

// quiz finds the quiz to mark.
func (m *markCommand) quiz(lib *procedure.Library, files []collect.File) (*procedure.Quiz, error) {
	var ids []string
	for _, q := range lib.Quizzes {
		if q.ID == m.Quiz {
			return q, nil
		}
		ids = append(ids, q.ID)
	}
	if m.Quiz != "" {
		f := &failure{code: exitUsage, problem: fmt.Sprintf("the library has no quiz %q", m.Quiz)}
		if near := diagnostic.Nearest(m.Quiz, ids); near != "" {
			f.do = fmt.Sprintf("did you mean %q?", near)
		}
		return nil, f
	}
	if q := collect.Pick(lib, files); q != nil {
		return q, nil
	}
	return nil, &failure{code: exitLibrary, problem: "no file is a result of a quiz of this library", do: "name another library, or files that a tablet saved from one of its quizzes"}
}

// write prints the result and writes the files that are asked for.
func (m *markCommand) write(c *console, lib *procedure.Library, found *collect.Collection) error {
	view, err := classresult.New(lib, found)
	if err != nil {
		return &failure{code: exitLibrary, problem: err.Error()}
	}
	if err := view.Text(c.out); err != nil {
		return err
	}
	for _, out := range []struct {
		name, words string
		write       func(io.Writer) error
	}{
		{m.Output, "Open it in a browser; it can be printed from there.", view.Page},
		{m.CSV, "It holds the figures on each question.", view.Table},
	} {
		if out.name == "" {
			continue
		}
		var b bytes.Buffer
		if err := out.write(&b); err != nil {
			return &compile.InternalError{Err: err}
		}
		if err := os.WriteFile(out.name, b.Bytes(), 0o666); err != nil {
			return &failure{code: exitWorld, problem: fmt.Sprintf("%q cannot be written: %v", out.name, errors.Unwrap(err)), do: "name a file in a folder that may be written to"}
		}
		fmt.Fprintf(c.out, "\nWrote %s. %s\n", out.name, out.words)
	}
	return nil
}
