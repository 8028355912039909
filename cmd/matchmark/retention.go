package main

import (
	"time"

	"matchmark/compile/classresult"
	"matchmark/procedure/quiz/collect"
	"matchmark/procedure/say"
)

// retentionCommand asks again what was missed.
type retentionCommand struct {
	Words  []string `arg:"" name:"[LIBRARY] RESULTS" help:"Folder of the library (default: the demo library) and the files of results, each ending in .json or .csv: all that there are, old and new."`
	Quiz   string   `placeholder:"ID" help:"The quiz with this id. Default: the quiz of most files."`
	On     string   `placeholder:"YYYY-MM-DD" help:"The day of the short quizzes. Default: today."`
	Most   int      `default:"5" placeholder:"N" help:"How many questions a short quiz has at most. Default: 5."`
	Output string   `short:"o" placeholder:"FILE.html" help:"Write the short quizzes, a page for each learner, and the key into this file to print."`
	CSV    string   `name:"csv" placeholder:"FILE.csv" help:"Write what is due, by learner and question, into this file, for a spreadsheet."`
}

// Help is shown below the command's one line.
func (*retentionCommand) Help() string {
	return `Results are those that "mark" reads. Tablets date them; a table of paper forms has a column date. What was asked again comes in a table whose first line says so, with the questions that were asked, by id or by number on form A, and an empty cell where a learner was not asked:

  oven-quiz 3fa1b2c4d5e6 again,date,2,7
  Ada Berg,2026-04-09,B,

What was missed comes back after 1 day, then 6, 15, 38 and 95 days, as long as it is right (SM-2); missed again, it begins anew. Critical questions come first, then what has waited longest.

It also says by step how much of what was right is not right any more, by months.

The exit code is 1 when a file, or a line of one, could not be used.`
}

// Run asks again.
func (m *retentionCommand) Run(c *console) error {
	from, names, err := libraryAndFiles(c, m.Words, collect.IsResults, aFileOfResults, resultEndings, "retention")
	if err != nil {
		return err
	}
	on, err := day("--on", m.On)
	if err != nil {
		return err
	}
	if m.Most < 1 {
		return &failure{code: exitUsage, problem: say.That("--most: %most questions are no quiz", say.Count(m.Most)), do: say.That("write 1 or more")}
	}
	lib, q, files, err := quizAndResults(c, from, names, m.Quiz, m.Output, m.CSV)
	if err != nil {
		return err
	}
	found := collect.Read(q, files)
	lost := printFaults(c.err, from.language(c), found.Faults)
	page, table, err := classresult.Retention(lib, found, on, m.Most)
	if err != nil {
		return &failure{code: exitLibrary, problem: say.Why(err)}
	}
	if err := tellReport(c, page, m.Output, m.CSV, say.That("It holds what is due, by learner and question."), table); err != nil {
		return err
	}
	if lost > 0 {
		return &failure{code: exitLibrary, problem: say.That("%count %count(fault keeps a result|faults keep results) from being counted; all others are", say.Count(lost))}
	}
	return nil
}

// day reads a day as it is typed; today when nothing is.
func day(option, typed string) (time.Time, error) {
	if typed == "" {
		return time.Now().UTC(), nil
	}
	on, err := time.Parse(time.DateOnly, typed)
	if err != nil {
		return on, &failure{code: exitUsage, problem: say.That("%option: %typed is no day", say.Name(option), say.Quoted(typed)), do: say.That("write year, month and day: 2026-03-02")}
	}
	return on, nil
}
