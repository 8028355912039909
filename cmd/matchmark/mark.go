package main

import (
	"fmt"
	"io"

	"matchmark/compile/classresult"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/quiz/collect"
	"matchmark/procedure/say"
)

// markCommand marks the results of a class.
type markCommand struct {
	Words  []string `arg:"" name:"[LIBRARY] RESULTS" help:"Folder of the library (default: the demo library) and the files of results, each ending in .json or .csv."`
	Quiz   string   `placeholder:"ID" help:"Mark the results of the quiz with this id. Default: the quiz of most files."`
	Format string   `enum:"text,json" default:"text" help:"How to print the results: text for people, json for scripts."`
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
	from, names, err := libraryAndFiles(c, m.Words, collect.IsResults, aFileOfResults, resultEndings, "mark")
	if err != nil {
		return err
	}
	lib, q, files, err := quizAndResults(c, from, names, m.Quiz, m.Output, m.CSV)
	if err != nil {
		return err
	}
	found := collect.Read(q, files)
	lost := printFaults(c.err, from.language(c), found.Faults)
	if err := m.write(c, lib, found); err != nil {
		return err
	}
	if lost > 0 {
		return &failure{code: exitLibrary, problem: say.That("%count %count(fault keeps a result|faults keep results) from being counted; all others are marked", say.Count(lost))}
	}
	return nil
}

// printFaults prints what is wrong with the files and returns how many faults keep
// a result from being counted. A note on many files is printed once: after a
// change to the quiz it is about all of them.
func printFaults(out io.Writer, l say.Language, faults []diagnostic.Diagnostic) (lost int) {
	printed := make([]bool, len(faults))
	for i, f := range faults {
		if printed[i] {
			continue
		}
		place, kind := f.At().String(), say.That("note")
		switch {
		case collect.Lost(f):
			kind = say.That("error")
			lost++
		case f.At().Line == 0:
			more := 0
			for j := i + 1; j < len(faults); j++ {
				if g := faults[j]; !collect.Lost(g) && g.At().Line == 0 && say.Equal(f.Wrong, g.Wrong) {
					printed[j] = true
					more++
				}
			}
			if more > 0 {
				place += say.That(" and %more other %more(file|files)", say.Count(more)).In(l)
			}
		}
		fmt.Fprintf(out, "%s: %s: %s\n", place, kind.In(l), f.Says().In(l))
		if !f.Advice.Empty() {
			fmt.Fprintf(out, "  %s: %s\n", say.That("do").In(l), f.Advice.In(l))
		}
	}
	return lost
}

// write prints the result and writes the files that are asked for.
func (m *markCommand) write(c *console, lib *procedure.Library, found *collect.Collection) error {
	spoken := *lib
	spoken.Language = c.words(lib)
	view, err := classresult.New(&spoken, found)
	if err != nil {
		return &failure{code: exitLibrary, problem: say.Why(err)}
	}
	instead, err := toStandardOutput(m.Output, m.CSV)
	if err != nil {
		return err
	}
	switch {
	case instead:
	case m.Format == "json":
		err = printJSON(c.out, view.JSON())
	default:
		err = view.Text(c.out)
	}
	if err != nil {
		return err
	}
	return writeFiles(c,
		outFile{m.Output, openInBrowser, view.Page},
		outFile{m.CSV, figuresOnQuestions, view.Table},
	)
}
