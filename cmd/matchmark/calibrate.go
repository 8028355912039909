package main

import (
	"path/filepath"

	"matchmark/compile/classresult"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/quiz/collect"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// calibrateCommand says how hard the questions of a quiz are, from the results of several classes.
type calibrateCommand struct {
	Words  []string `arg:"" name:"[LIBRARY] RESULTS" help:"Folder of the library (default: the demo library) and the files of results, each ending in .json or .csv. Those of one folder are one class."`
	Quiz   string   `placeholder:"ID" help:"The quiz with this id. Default: the quiz of most files."`
	Output string   `short:"o" placeholder:"FILE.html" help:"Write a page to read and print into this file, besides the text."`
	CSV    string   `name:"csv" placeholder:"FILE.csv" help:"Write the figures on each question into this file, for a spreadsheet."`
}

// Help is shown below the command's one line.
func (*calibrateCommand) Help() string {
	return `Results are those that "mark" reads; all files of one folder are one class. First tries of the present wording count.

With fewer than 50 learners it prints how many had each question right, with its interval, and nothing else. From 50 on, what classes say together (empirical Bayes: each class's share is drawn to the common one as far as the class is small and the classes are alike), and difficulties in logits (Rasch's model by conditional maximum likelihood). Questions that all or none have right have no place on that scale.

The exit code is 1 when a file, or a line of one, could not be used.`
}

// Run calibrates.
func (m *calibrateCommand) Run(c *console) error {
	from, names, err := libraryAndFiles(c, m.Words, collect.IsResults, aFileOfResults, resultEndings, "calibrate")
	if err != nil {
		return err
	}
	lib, q, files, err := quizAndResults(c, from, names, m.Quiz, m.Output, m.CSV)
	if err != nil {
		return err
	}
	groups, faults := classes(q, files)
	lost := printFaults(c.err, from.language(c), faults)
	page, table, err := classresult.Calibration(lib, q, groups)
	if err != nil {
		return &failure{code: exitLibrary, problem: say.Why(err)}
	}
	if err := tellReport(c, page, m.Output, m.CSV, figuresOnQuestions, table); err != nil {
		return err
	}
	if lost > 0 {
		return &failure{code: exitLibrary, problem: say.That("%count %count(fault keeps a result|faults keep results) from being counted; all others are", say.Count(lost))}
	}
	return nil
}

// classes parts files by their folders, in the order in which these come, and reads each class. A file that another
// class has as well counts once.
func classes(q *procedure.Quiz, files []collect.File) ([]classresult.Group, []diagnostic.Diagnostic) {
	var folders []string
	byFolder, seen := map[string][]collect.File{}, map[string]string{}
	var faults []diagnostic.Diagnostic
	for _, f := range files {
		folder := filepath.ToSlash(filepath.Dir(f.Name))
		if first, twice := seen[string(f.Data)]; twice {
			faults = append(faults, diagnostic.Diagnostic{Severity: diagnostic.Advice, Place: text.Position{File: f.Name}, Wrong: say.That("the file holds the same as %file; it is not counted again", say.Name(first))})
			continue
		}
		seen[string(f.Data)] = f.Name
		if byFolder[folder] == nil {
			folders = append(folders, folder)
		}
		byFolder[folder] = append(byFolder[folder], f)
	}
	var out []classresult.Group
	for _, folder := range folders {
		found := collect.Read(q, byFolder[folder])
		faults = append(faults, found.Faults...)
		out = append(out, classresult.Group{Name: folder, From: found})
	}
	return out, faults
}
