package main

import (
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"time"

	"matchmark/compile"
	"matchmark/compile/output"
	"matchmark/compile/page"
	"matchmark/compile/picture"
	"matchmark/compile/workorder"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	order "matchmark/procedure/workorder"
)

// workorderCommand makes the work order of a job.
type workorderCommand struct {
	Records  []string `arg:"" name:"RECORD" help:"Files of the job record, as tablets save them; those of several tablets are merged."`
	Library  string   `short:"l" placeholder:"LIBRARY" help:"Folder of the library. Default: the demo library."`
	Output   string   `short:"o" default:"workorder" placeholder:"FOLDER" help:"Folder for the work order; one that is there is replaced. It is \"workorder\" when not given."`
	Format   string   `enum:"text,json" default:"text" help:"text writes the folder and prints a summary; json prints the work order for scripts and writes nothing."`
	Together bool     `help:"Merge records with different job names: two tablets started the same job separately."`
	Zone     string   `default:"UTC" placeholder:"+HH:MM" help:"Offset of clock times from UTC, such as +02:00. Default: UTC."`
}

// Help is shown below the command's one line.
func (*workorderCommand) Help() string {
	return `The folder holds two pages that print well. index.html is the work order: findings with photos and what waits for each repair, parts to order, time by step against the estimate, measured values, and who confirmed which hold point. checklist.html is the checklist of the refitting, with each open repair above the step that waits for it.

Photos are taken from inside a record, or from the folder photos beside it.

The procedure is taken as the library has it now. A record from an older edition is carried over where steps, rows and things have kept their names; what has no place is listed at the end, with the reason. The library is read without checking it.

The exit code is 1 when a record has errors, or when records are not of one job.`
}

// Run makes the work order.
func (m *workorderCommand) Run(c *console) error {
	zone, err := zoneOf(m.Zone)
	if err != nil {
		return err
	}
	job, err := readJob(c, m.Records, m.Together)
	if err != nil {
		return err
	}
	from := libraryArgument{Library: m.Library}
	c.on(from)
	lib, err := from.readUnchecked(func(all []diagnostic.Diagnostic) error {
		if err := from.messages(c, all); err != nil {
			return err
		}
		c.warn(say.That("\nThe library has errors, so no work order was made."))
		return nil
	})
	if err != nil {
		return err
	}
	if lib, err = compile.DeriveRefittings(lib); err != nil {
		return &compile.InternalError{Err: err}
	}
	if m.Format == "json" {
		return m.print(c, lib, job)
	}
	files, closeIt, err := from.open()
	if err != nil {
		return err
	}
	defer closeIt()
	if _, err := os.Stat(filepath.Join(m.Output, filepath.FromSlash(page.SearchIndexPath))); err == nil {
		return &failure{code: exitUsage, problem: say.That("folder %name holds a site; a work order would replace it", say.Quoted(m.Output)), do: say.That("name another folder with -o")}
	}
	to, err := newFolderOrZip(m.Output)
	if err != nil {
		return err
	}
	defer to.abandon()
	build, err := output.Begin(to.folder)
	if err != nil {
		return err
	}
	made, err := workorder.Folder(files, lib, job.Record, job.photos, zone, build, job.names...)
	if err != nil {
		build.Abort()
		return m.failed(err)
	}
	if err := build.Commit(); err != nil {
		return err
	}
	if err := to.finish(); err != nil {
		return err
	}
	from.demoHint(c)
	m.tell(c, made)
	return nil
}

// print prints the work order for scripts.
func (m *workorderCommand) print(c *console, lib *procedure.Library, job *jobRecords) error {
	for _, p := range lib.Procedures {
		if p.ID != job.Procedure || p.Removal != nil {
			continue
		}
		made := order.New(job.Record, p, job.names...)
		if made == nil {
			return m.failed(&workorder.Unplaced{Variant: job.Variant})
		}
		return printJSON(c.out, orderForJSON(made))
	}
	return m.failed(&workorder.Unplaced{Procedure: job.Procedure})
}

// failed says why a work order cannot be made.
func (m *workorderCommand) failed(err error) error {
	var unplaced *workorder.Unplaced
	var unusable *picture.Fault
	var folder *output.Fault
	switch {
	case errors.As(err, &unplaced):
		return &failure{code: exitLibrary, problem: say.Why(unplaced), do: say.That("name the library that the tablet's pages were made from with -l")}
	case errors.As(err, &unusable):
		return &failure{code: exitLibrary, problem: unusable.Wrong, do: unusable.Advice}
	case errors.As(err, &folder):
		return err
	}
	return &compile.InternalError{Err: err}
}

// tell says what was made, and what needs a look.
func (m *workorderCommand) tell(c *console, o *order.Order) {
	c.print(say.That("%findings %findings(finding|findings), %repairs %repairs(repair|repairs) open.", say.Count(len(o.Findings)), say.Count(o.Open())))
	if o.OpenStops() {
		c.print(say.That("Stop work: a supervisor must inspect before anything goes on."))
	}
	for _, h := range o.Holds {
		if s := h.Signature; s != nil && s.Sealed != nil && !s.Holds {
			c.print(say.That("A signature in step %number, %title, is not valid.", say.Step(h.Step.Number), say.Name(h.Step.Title)))
		}
	}
	if o.Older {
		c.print(say.That("The record was made with another version of the procedure."))
	}
	if n := len(o.Lost); n > 0 {
		c.print(say.That("%count %count(entry has|entries have) no place in the present version; see the end of the work order.", say.Count(n)))
	}
	c.note(say.That("Wrote %folder. Open %file in a browser; it can be printed from there.", say.Name(m.Output), say.Name(filepath.Join(m.Output, workorder.OrderPath))))
}

// offset is a zone as it is typed: how far it is from UTC.
var offset = regexp.MustCompile(`^[+-](0[0-9]|1[0-4]):[0-5][0-9]$`)

// zoneOf reads a zone. Names of places are not taken: what they stand for is
// different on another computer, and the same input is to give the same pages.
func zoneOf(s string) (*time.Location, error) {
	if s == "UTC" {
		return time.UTC, nil
	}
	at, err := time.Parse("-07:00", s)
	if err != nil || !offset.MatchString(s) {
		return nil, &failure{code: exitUsage, problem: say.That("%s is not a valid offset from UTC", say.Quoted(s)), do: say.That("write UTC, or hours and minutes such as +02:00 or -05:30")}
	}
	_, seconds := at.Zone()
	return time.FixedZone("UTC"+s, seconds), nil
}
