package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"matchmark/compile"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/feedback"
	"matchmark/procedure/record"
	"matchmark/procedure/regular"
	"matchmark/procedure/revise"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/say"
)

// reviseCommand makes estimates better by recorded times.
type reviseCommand struct {
	Words []string `arg:"" name:"[LIBRARY] RECORDS" help:"Folder of the library (default: the demo library) and the files of recorded times, of job records or of a class's feedback, each ending in .csv or .json."`
	learningFlags
	Format string `enum:"text,json" default:"text" help:"How to print the times: text for people, json for scripts; its times are minutes."`
	Write  bool   `help:"Write the new times into the files of the library. Nothing else in them changes."`
}

// Help is shown below the command's one line.
func (*reviseCommand) Help() string {
	return fmt.Sprintf(`A file of recorded times is a table with a line for each time that a step took:

  step,minutes,procedure,variant,team,repetition,interrupted,note
  hub-off,9.5,mixer-gearbox-out,belt,red,1,,
  hub-off,41,mixer-gearbox-out,belt,red,2,yes,lunch

Only step and minutes must be there. A JSON file holds the same: {"times": [{"step": "hub-off", "minutes": 9.5}]}

The record of a job, as tablets save it, is read too: the time of each step that was done, without its pauses; two tablets on one step count once.

For each step it prints the old time, the new one, how many records there are and how many count. Few records move an estimate a little: the author's own counts for %d of them. Interrupted times and outliers are left out, and it says which and why. Work that took about twice as long counts as done twice: its share goes into the third time, so that the expected time is right. Several times of one team count for less than those of as many teams.

With --write it remembers the records in %s, beside the library's settings: each counts once, however often it is read, and against the time that its author gave. A line is known by its file's name and by what stands in it. Another time written by hand begins anew.

With a learning rate and repetitions in the records, times of a third repetition are turned into those of the repetition that the estimates stand for. What is not given is taken from the library's course, if it has only one.

A step from a shared steps file has one time, in one place: records of all procedures that take it in count together, and the new time holds for all of them.

A form "Feedback on the steps" that a class filled in is read too, typed into a table. Its first cell names the procedure and, where the machine has some, the variant; the numbers say how many learners said so:

  feedback mixer-gearbox-out belt,clear,had to ask,wrong or missing,took longer,what exactly
  4,9,3,,2,the tester was in another room

It prints which steps need another look, and whether the recorded times say so too.

From the teams and the repetitions in the records it also finds how much teams have a pace of their own, and how fast they get faster, each with the interval that holds it in 95 of 100 cases.`, revise.AuthorWeight, revise.MemoryFile)
}

// Run revises.
func (m *reviseCommand) Run(c *console) error {
	from, names, err := m.sort(c)
	if err != nil {
		return err
	}
	files, closeIt, err := from.open()
	if err != nil {
		return err
	}
	defer closeIt()
	if m.Write && from.Library == "" {
		return &failure{code: exitUsage, problem: say.That("the demo library cannot be written to"), do: say.That("name the folder of your own library")}
	}
	records, places, forms, err := readRecords(c, names)
	if err != nil {
		return err
	}
	var log diagnostic.Log
	lib, err := compile.Load(files, &log)
	if err != nil {
		return err
	}
	if log.HasErrors() {
		all := errorsOnly(log.Sorted())
		if err := from.messages(c, all); err != nil {
			return err
		}
		c.warn(say.That("\nThe library has errors, so no times were worked out."))
		return libraryErrors(all)
	}
	pace := procedure.UsualPace()
	if len(lib.Courses) == 1 {
		pace = lib.Courses[0].Pace
	}
	if err := m.learningFlags.apply(&pace); err != nil {
		return err
	}
	if lib, err = compile.DeriveRefittings(lib); err != nil {
		return err
	}
	memory, err := recall(from.Library)
	if err != nil {
		return err
	}
	said, err := readForms(c, lib, forms)
	if err != nil {
		return err
	}
	report := revise.Times(lib.Procedures, records, revise.Practice{Curve: pace.Learning, Stated: pace.Stated}, memory)
	from.demoHint(c)
	if m.Format == "json" {
		if err := printJSON(c.out, revisedForJSON(report, places, said)); err != nil {
			return err
		}
	} else {
		out := &revised{c, places, report}
		out.times()
		out.paces(pace)
		out.said(said)
	}
	switch {
	case len(records) == 0:
		return nil // forms alone
	case len(report.Revisions) == 0:
		return &failure{code: exitLibrary, problem: say.That("no record belongs to a step of this library"), do: say.That("check the names of the steps, or name another library")}
	}
	return m.write(c, from.Library, report)
}

// sort tells the library from the records.
func (m *reviseCommand) sort(c *console) (libraryArgument, []string, error) {
	var from libraryArgument
	names := m.Words
	takes := func(name string) bool { return name == standard || isRecords(name) }
	if !takes(names[0]) {
		from.Library, names = names[0], names[1:]
	}
	c.on(from)
	if len(names) == 0 {
		return from, nil, &failure{code: exitUsage, problem: say.That("missing: a file of recorded times"), do: say.That(`name a file that ends in .csv or .json; "matchmark revise --help" shows what stands in it`)}
	}
	for _, name := range names {
		if !takes(name) {
			return from, nil, &failure{code: exitUsage, problem: say.That("%name is not a file of recorded times", say.Quoted(name)), do: say.That("name a file that ends in .csv or .json; the library comes first")}
		}
	}
	return from, names, onlyOnce(names)
}

func isRecords(name string) bool {
	ending := strings.ToLower(filepath.Ext(name))
	return ending == ".csv" || ending == ".json"
}

// recordPlace is where a record stands.
type recordPlace struct {
	file string
	line int
}

// form is a table of what a class said.
type form struct {
	name string
	data []byte
}

// readRecords reads all files; forms are those that hold what a class said, which need the library. The line of a record is afterwards its place in
// the list of places, since a line alone names no file. Faults of all files are printed together.
func readRecords(c *console, names []string) (all []revise.Record, places []recordPlace, forms []form, err error) {
	bad := 0
	for _, name := range names {
		name, data, err := readFile(name, record.MostBytes)
		if err != nil {
			return nil, nil, nil, err
		}
		if feedback.Is(data) {
			forms = append(forms, form{name, data})
			continue
		}
		records, err := revise.Read(name, data)
		var found diagnostic.Faults
		if errors.As(err, &found) {
			bad += len(found)
			if err := c.faults(name, found); err != nil {
				return nil, nil, nil, err
			}
			continue
		}
		if err != nil {
			return nil, nil, nil, err
		}
		revise.Name(filepath.Base(name), records)
		for _, r := range records {
			places = append(places, recordPlace{name, r.Line})
			r.Line = len(places) - 1
			all = append(all, r)
		}
	}
	if bad > 0 {
		return nil, nil, nil, &failure{code: exitLibrary, problem: say.That("the records have %count %count(error|errors); no times were worked out", say.Count(bad))}
	}
	return all, places, forms, nil
}

// readForms reads what classes said of the steps, put together step by step. Faults of all files are printed together.
func readForms(c *console, lib *procedure.Library, forms []form) ([]feedback.Said, error) {
	var all []feedback.Said
	bad := 0
	for i, f := range forms {
		said, err := feedback.Read(lib, f.data)
		if twin := slices.IndexFunc(forms[:i], func(g form) bool { return bytes.Equal(g.data, f.data) }); twin >= 0 {
			err = feedback.Twice(forms[twin].name)
		}
		var found diagnostic.Faults
		if errors.As(err, &found) {
			bad += len(found)
			if err := c.faults(f.name, found); err != nil {
				return nil, err
			}
		}
		all = append(all, said...)
	}
	if bad > 0 {
		return nil, &failure{code: exitLibrary, problem: say.That("what the class said has %count %count(error|errors); nothing was worked out", say.Count(bad))}
	}
	return feedback.Sum(lib, all), nil
}

// unreadable says why a file cannot be read.
func unreadable(name string, err error) error {
	switch {
	case errors.Is(err, os.ErrNotExist):
		return &failure{code: exitWorld, problem: say.That("there is no file %name", say.Quoted(name)), do: say.That("check the name")}
	case errors.Is(err, os.ErrPermission):
		return &failure{code: exitWorld, problem: say.That("file %name may not be read", say.Quoted(name)), do: say.That("ask its owner for permission to read it")}
	}
	return &failure{code: exitWorld, problem: say.That("file %name cannot be read: %cause", say.Quoted(name), say.Why(reason(err)))}
}

// write writes the new times into the library, or says how to.
func (m *reviseCommand) write(c *console, dir string, report revise.Report) error {
	edits := report.Edits()
	switch {
	case len(edits) == 0 && !m.Write:
		c.note(say.That("No time in the library changes."))
		return nil
	case !m.Write:
		c.note(say.That("%count %count(time|times) would change. To write %count(it|them) into the library, add --write.", say.Count(len(edits))))
		return nil
	}
	changed, err := rewrite.Make(edits)
	if err != nil {
		return &compile.InternalError{Err: err}
	}
	if err := replace(dir, changed); err != nil {
		return err
	}
	if err := remember(dir, report.Memory); err != nil {
		return err
	}
	if len(edits) == 0 {
		c.note(say.That("No time in the library changes. The records are remembered."))
	}
	for _, f := range changed {
		c.note(say.That("Wrote %file.", say.Name(filepath.Join(dir, filepath.FromSlash(f.Old.Name)))))
	}
	return nil
}

// recall reads what earlier runs have counted in a library; the demo library remembers nothing.
func recall(dir string) (revise.Memory, error) {
	if dir == "" {
		return revise.Memory{}, nil
	}
	name := filepath.Join(dir, revise.MemoryFile)
	data, err := regular.ReadFile(name, record.MostBytes)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return revise.Memory{}, unreadable(name, err)
	}
	memory, err := revise.ReadMemory(data)
	if err != nil {
		return revise.Memory{}, &failure{code: exitLibrary, problem: say.Why(err), do: say.That("bring the file back as it was; or take it away, and all records count anew")}
	}
	return memory, nil
}

// remember writes what is to be remembered, in one go.
func remember(dir string, memory revise.Memory) error {
	data, err := memory.Bytes()
	if err != nil {
		return &compile.InternalError{Err: err}
	}
	name := filepath.Join(dir, revise.MemoryFile)
	if err := writeWhole(name, data); err != nil {
		return &failure{code: exitWorld, problem: say.That("%name cannot be written: %cause; the new times are written", say.Name(name), say.Why(reason(err))), do: say.That("make room, or ask for leave, and take the records out of the next run: they would count twice")}
	}
	return nil
}
