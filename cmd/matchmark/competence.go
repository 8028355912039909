package main

import (
	"errors"
	"path"
	"strings"
	"time"

	"matchmark/compile"
	"matchmark/compile/classresult"
	"matchmark/procedure"
	"matchmark/procedure/assessment"
	"matchmark/procedure/competence"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/quiz/collect"
	"matchmark/procedure/quiz/retention"
	"matchmark/procedure/record"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
	order "matchmark/procedure/workorder"
)

// competenceCommand says who has shown what.
type competenceCommand struct {
	Words  []string `arg:"" name:"[LIBRARY] FILES" help:"Folder of the library (default: the demo library) and the files: job records, results of quizzes and practical assessments, each ending in .json or .csv."`
	On     string   `placeholder:"YYYY-MM-DD" help:"The day on which it is looked at. Default: today."`
	Months int      `default:"12" placeholder:"N" help:"How many months what was shown holds. Default: 12."`
	Output string   `short:"o" placeholder:"FILE.html" help:"Write the matrix as a page to read and print into this file, besides the text."`
	CSV    string   `name:"csv" placeholder:"FILE.csv" help:"Write a line for each learner and aim into this file, for a spreadsheet."`
}

// Help is shown below the command's one line.
func (*competenceCommand) Help() string {
	return `The matrix has a row for each learner and a column for each aim of a procedure. An aim is shown when the last answer to each quiz question on it is right (a question names its aim with aim=1), all steps that these questions are about were done by the learner in one job, and the hold points of these steps are signed at the class host; where the steps have none, those of the whole job. A name that was written on a tablet is shown and proves nothing.

A practical assessment counts in the place of record and signatures: the observer saw the aim reached alone, in the role of the one who does the work, and missed nothing that must be seen. An aim that an observer saw not reached is open until a later day shows it. A table of paper sheets begins with "assessment PROCEDURE,date,must,1,2": a line for each learner, with a (alone), h (with help) or n (not yet) below the number of each aim, and yes or no below must. It may also have columns observer, role (does, checks), attempt, way (out, back), variant, record and again. A sheet that is dated more than a day ahead is not counted.

Learners are told apart by their names. Tablets date results; a table of paper forms has a column date.

The exit code is 1 when a file, or a line of one, could not be used.`
}

// Run says who has shown what.
func (m *competenceCommand) Run(c *console) error {
	from, names, err := libraryAndFiles(c, m.Words, collect.IsResults, say.That("a job record or a file of results"), resultEndings, "competence")
	if err != nil {
		return err
	}
	on, err := day("--on", m.On)
	if err != nil {
		return err
	}
	if m.Months < 1 {
		return &failure{code: exitUsage, problem: say.That("--months: nothing holds for %months months", say.Count(m.Months)), do: say.That("write 1 or more")}
	}
	lib, files, err := libraryAndResults(c, from, names, m.Output, m.CSV)
	if err != nil {
		return err
	}
	from.demoHint(c)
	newest := on // what is looked at from a day to come may be dated up to then
	if now := time.Now(); now.After(on) {
		newest = now
	}
	shown, err := newShown(lib, files, assessment.Latest(newest))
	if err != nil {
		return err
	}
	lost := printFaults(c.err, from.language(c), shown.faults)
	today := retention.DayOf(on)
	all := competence.Assess(competence.Aims(lib), shown.answers, shown.jobs, shown.observed, m.Months, today)
	page, table, err := classresult.Competence(lib, all, today, m.Months, shown.undated, shown.left, shown.unread)
	if err != nil {
		return &failure{code: exitLibrary, problem: say.Why(err)}
	}
	if err := tellReport(c, page, m.Output, m.CSV, say.That("It holds a line for each learner and aim."), table); err != nil {
		return err
	}
	if lost > 0 {
		return &failure{code: exitLibrary, problem: say.That("%count %count(fault keeps|faults keep) something from being counted; all else is", say.Count(lost))}
	}
	return nil
}

// shown is what files of all kinds hold.
type shown struct {
	answers               []competence.Answers
	jobs                  []*order.Order
	observed              []*assessment.Assessment
	undated, left, unread int
	faults                []diagnostic.Diagnostic
	latest                time.Time // of an assessment
}

func newShown(lib *procedure.Library, files []collect.File, latest time.Time) (*shown, error) {
	s := &shown{latest: latest}
	byQuiz, records := map[string][]collect.File{}, []collect.File{}
	for _, f := range files {
		switch id := collect.About(f); {
		case isRecord(f):
			records = append(records, f)
		case assessment.Is(f.Name, f.Data):
			s.assessments(lib, f)
		case !hasQuiz(lib, id):
			s.fault(f.Name, say.That("this is no job record, no assessment, and no result of a quiz of this library"), say.That("Leave it out, or name the library that it is of."))
		default:
			byQuiz[id] = append(byQuiz[id], f)
		}
	}
	for _, q := range lib.Quizzes {
		found := collect.Read(q, byQuiz[q.ID])
		learners, undated := retention.Memories(found)
		s.answers = append(s.answers, competence.Answers{Quiz: q.ID, Learners: learners})
		s.undated, s.left, s.unread = s.undated+undated, s.left+len(found.NotMarked), s.unread+found.Unread
		s.faults = append(s.faults, found.Faults...)
	}
	return s, s.read(lib, records)
}

// assessments reads a file of practical assessments.
func (s *shown) assessments(lib *procedure.Library, f collect.File) {
	found, faults := assessment.Read(lib, f.Name, f.Data, s.latest)
	s.observed, s.faults = append(s.observed, found...), append(s.faults, faults...)
	if len(found) == 0 {
		s.unread++
	}
}

func hasQuiz(lib *procedure.Library, id string) bool {
	for _, q := range lib.Quizzes {
		if q.ID == id {
			return true
		}
	}
	return false
}

// isRecord reports whether a file says that it is a job record.
func isRecord(f collect.File) bool {
	return strings.EqualFold(path.Ext(f.Name), ".json") && record.FormatOf(f.Data) == record.Format
}

func (s *shown) fault(file string, wrong, advice say.Text) {
	s.faults = append(s.faults, diagnostic.Diagnostic{Severity: diagnostic.Error, Place: text.Position{File: file}, Wrong: wrong, Advice: advice})
}

// read reads the job records, and brings those of one job together.
func (s *shown) read(lib *procedure.Library, files []collect.File) error {
	lib, err := compile.DeriveRefittings(lib)
	if err != nil {
		return &compile.InternalError{Err: err}
	}
	byJob, names := map[string]*record.Record{}, map[string]string{}
	var jobs []string
	for _, f := range files {
		r, err := record.Read(f.Data)
		var faults diagnostic.Faults
		switch {
		case errors.As(err, &faults):
			s.unread++
			s.fault(f.Name, say.That("the job record is damaged: %cause", say.Why(faults)), say.That("Save it from the tablet again, or leave it out."))
			continue
		case err != nil:
			return err
		}
		r = r.WithoutPhotos()
		before := byJob[r.Job]
		if before == nil {
			jobs = append(jobs, r.Job)
			byJob[r.Job], names[r.Job] = r, f.Name
			continue
		}
		if err := before.Fits(r); err != nil {
			s.fault(f.Name, say.That("the record does not fit that of %file, of the same job: %cause", say.Name(names[r.Job]), say.Why(err)), say.That("Leave one of them out."))
			continue
		}
		byJob[r.Job] = record.Merge(before, r)
	}
	for _, job := range jobs {
		r := byJob[job]
		var made *order.Order
		for _, p := range lib.Procedures {
			if p.ID == r.Procedure && p.Removal == nil {
				made = order.New(r, p)
			}
		}
		if made == nil {
			s.fault(names[job], say.That("the library has no procedure %procedure, or not the variant of the record", say.Quote(r.Procedure)), say.That("Name the library that the tablet's pages were made from."))
			continue
		}
		s.jobs = append(s.jobs, made)
	}
	return nil
}
