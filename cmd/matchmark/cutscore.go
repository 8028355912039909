package main

import (
	"matchmark/compile/classresult"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/quiz/collect"
	"matchmark/procedure/quiz/cutscore"
	"matchmark/procedure/say"
)

// cutscoreCommand works out a pass mark from what judges expect.
type cutscoreCommand struct {
	Words  []string `arg:"" optional:"" name:"[LIBRARY] ESTIMATES" help:"Folder of the library (default: the demo library) and the tables of the judges' estimates, each ending in .csv."`
	Quiz   string   `placeholder:"ID" help:"The quiz with this id. Default: the quiz of the tables."`
	Sheet  string   `placeholder:"FILE.html" help:"Write the sheet on which judges write down their estimates into this file; no estimates are needed."`
	Output string   `short:"o" placeholder:"FILE.html" help:"Write the proposed pass mark as a page to read and print into this file, besides the text."`
	CSV    string   `name:"csv" placeholder:"FILE.csv" help:"Write the figures on each question into this file, for a spreadsheet."`
}

// Help is shown below the command's one line.
func (*cutscoreCommand) Help() string {
	return `Judges who know the job say of each question how many of a hundred learners who can just do it would have it right (Angoff's method). A table of estimates has a line for each judge, and its first line names the quiz and the questions, by id or by number on form A:

  oven-quiz 3fa1b2c4d5e6,1,2,3,4
  A. Weber,60,75,50,80
  B. Diaz,65,70,45,85

Print the judges' sheet with --sheet; the first line of the table stands on it.

It prints the cut score with its interval, how far the judges differ on each question, and the pass mark in percent that asks for the fewest whole points at or above the cut. Nothing in the library is changed.

The exit code is 1 when a table, or a line of one, could not be used. All others count nevertheless.`
}

// Run works the pass mark out.
func (m *cutscoreCommand) Run(c *console) error {
	from, names, err := m.sort(c)
	if err != nil {
		return err
	}
	if err := endsIn("--sheet", m.Sheet, ".html"); err != nil {
		return err
	}
	lib, q, files, err := quizAndResults(c, from, names, m.Quiz, m.Output, m.CSV)
	if err != nil {
		return err
	}
	if m.Sheet != "" {
		if err := m.sheet(c, lib, q); err != nil || len(files) == 0 {
			return err
		}
	}
	judges, faults := collect.Estimates(q, files)
	lost := printFaults(c.err, from.language(c), faults)
	if len(judges) > 0 {
		if err := m.write(c, lib, q, cutscore.Compute(q, judges)); err != nil {
			return err
		}
	}
	if lost > 0 {
		return &failure{code: exitLibrary, problem: say.That("%count %count(fault keeps|faults keep) estimates from being counted", say.Count(lost))}
	}
	return nil
}

// sort tells the library from the tables.
func (m *cutscoreCommand) sort(c *console) (libraryArgument, []string, error) {
	if m.Sheet != "" && (len(m.Words) == 0 || len(m.Words) == 1 && !collect.IsTable(m.Words[0])) {
		var from libraryArgument
		if len(m.Words) == 1 {
			from.Library = m.Words[0]
		}
		c.on(from)
		if m.Quiz == "" {
			return from, nil, &failure{code: exitUsage, problem: say.That("missing: --quiz"), do: say.That("name the quiz that the judges' sheet is on")}
		}
		return from, nil, nil
	}
	return libraryAndFiles(c, m.Words, collect.IsTable, say.That("a table of estimates"), []string{".csv"}, "cutscore")
}

// sheet writes the judges' sheet.
func (m *cutscoreCommand) sheet(c *console, lib *procedure.Library, q *procedure.Quiz) error {
	page, err := classresult.JudgesSheet(lib, q)
	if err != nil {
		return &failure{code: exitLibrary, problem: say.Why(err)}
	}
	return writeFiles(c, outFile{m.Sheet, say.That("Print one for each judge."), page.HTML})
}

// write prints the standard and writes the files that are asked for.
func (m *cutscoreCommand) write(c *console, lib *procedure.Library, q *procedure.Quiz, s cutscore.Standard) error {
	page, err := classresult.CutScore(lib, q, s)
	if err != nil {
		return &failure{code: exitLibrary, problem: say.Why(err)}
	}
	return tellReport(c, page, m.Output, m.CSV, figuresOnQuestions, classresult.CutScoreTable(q, s))
}

// quizOf finds the quiz that is named or, without a name, the one that most files are on.
func quizOf(lib *procedure.Library, id string, files []collect.File) (*procedure.Quiz, error) {
	var ids []string
	for _, q := range lib.Quizzes {
		if q.ID == id {
			return q, nil
		}
		ids = append(ids, q.ID)
	}
	if id != "" {
		f := &failure{code: exitUsage, problem: say.That("the library has no quiz %id", say.Quoted(id))}
		if near := diagnostic.Nearest(id, ids); near != "" {
			f.do = say.That("did you mean %near?", say.Quoted(near))
		}
		return nil, f
	}
	if q := collect.Pick(lib, files); q != nil {
		return q, nil
	}
	return nil, &failure{code: exitLibrary, problem: say.That("no file is a result of a quiz of this library"), do: say.That("name another library, or files that a tablet saved from one of its quizzes")}
}
