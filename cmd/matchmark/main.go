// Command matchmark turns workshop removal procedures into a training site.
//
//	matchmark compile [LIBRARY] [-o DIR]   make the site
//	matchmark check [LIBRARY]              look for faults, write nothing
//	matchmark watch [LIBRARY]              make the site again at every save, and show it
//	matchmark plan [LIBRARY]               split a course into sessions
//	matchmark revise [LIBRARY] RECORDS...  work out better times from recorded ones
//	matchmark mark [LIBRARY] RESULTS...    say how a class did in a quiz
//	matchmark workorder RECORD...          make the work order of a job that tablets wrote down
//	matchmark serve [LIBRARY]              serve a class: the site to tablets, what they hand in to the trainer
//	matchmark backup, matchmark restore    copy a class's data, and get a copy back
//	matchmark compare OLD NEW              say what changed between two editions
//	matchmark export [LIBRARY] --as scorm  make packages of the quizzes for learning systems
//	matchmark new DIR                      start a library
//	matchmark explain [CODE]               say what a message means
//	matchmark language                     print the language reference
//	matchmark version                      print the version
//
// Without LIBRARY the demo library is taken, which is part of the program.
//
// Exit codes:
//
//	0    all went well
//	1    the library has errors, or warnings with check --fail-on=warning
//	2    the command was not used as it can be
//	3    the computer stood in the way: a folder, the disk, a port
//	4    a fault in matchmark itself
//	130  stopped with Ctrl-C
package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"runtime/debug"
	"strings"

	"github.com/alecthomas/kong"
)

// commands is what can be typed, with its help.
type commands struct {
	Compile   compileCommand   `cmd:"" help:"Make the training site from a library."`
	Check     checkCommand     `cmd:"" help:"Look for faults in a library and write nothing."`
	Watch     watchCommand     `cmd:"" help:"Make the site again whenever a file is saved, and show it in the browser."`
	Plan      planCommand      `cmd:"" help:"Split a course or a procedure into sessions that end where it is safe to stop."`
	Revise    reviseCommand    `cmd:"" help:"Make the estimates better: from recorded step times, new ones."`
	Mark      markCommand      `cmd:"" help:"Mark the results of a class: who passed, which question is bad, which step was not understood."`
	Workorder workorderCommand `cmd:"" help:"Make the work order of a job: findings with photos, parts to order, times, hold points, and the checklist of the way back with each repair in it."`
	Compare   compareCommand   `cmd:"" help:"Say what changed between two editions of a library."`
	Serve     serveCommand     `cmd:"" help:"Serve a class: the site to its tablets, and what they hand in to the trainer's board."`
	Backup    backupCommand    `cmd:"" help:"Copy the data of a class, also while it works."`
	Restore   restoreCommand   `cmd:"" help:"Get a copy of a class's data back."`
	Export    exportCommand    `cmd:"" help:"Make packages of the quizzes for other learning systems: SCORM 1.2 or QTI 3.0."`
	New       newCommand       `cmd:"" help:"Start a library of your own: a small one that works, with comments that teach."`
	Explain   explainCommand   `cmd:"" help:"Say what the code in a message means and what to do about it."`
	Language  languageCommand  `cmd:"" help:"Print the reference of the language that libraries are written in."`
	Version   versionCommand   `cmd:"" help:"Print the version."`
	Trace     bool             `hidden:"" help:"Print where matchmark itself failed, for a report."`
}

const about = `matchmark turns workshop procedures, written as text files, into a training
site: step pages for a tablet, checklists and labels to print, and quizzes.

  matchmark new bakery          start a library in the folder bakery
  matchmark watch bakery        write it, and see the pages change at every save
  matchmark check bakery        find out what is wrong with it
  matchmark compile bakery      make the site in the folder site
  matchmark plan bakery         split its course into sessions

A library is a folder of Markdown files and pictures. Without one, the commands
take the demo library, which is part of the program.

Exit codes, for scripts:
  0    all went well
  1    the library has errors, or warnings with check --fail-on=warning
  2    the command was not used as it can be
  3    the computer stood in the way: a folder, the disk, a port
  4    a fault in matchmark itself
  130  stopped with Ctrl-C`

func main() {
	os.Exit(run(context.Background(), os.Args[1:], newConsole(os.Stdout, os.Stderr)))
}

// run carries out one command line and returns the exit code. What runs until it
// is stopped ends with ctx.
func run(ctx context.Context, args []string, c *console) (code int) {
	defer func() {
		if cause := recover(); cause != nil {
			code = c.tell(newOwnFault(cause, debug.Stack()))
		}
	}()
	var grammar commands
	helped := false
	parser, err := kong.New(&grammar,
		kong.Name("matchmark"),
		kong.Description(about),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, FlagsLast: true, NoAppDescFormat: true, WrapUpperBound: 90}),
		kong.Help(printHelp),
		kong.Writers(c.out, c.err),
		kong.Exit(func(int) { helped = true }),
		kong.Bind(c),
		kong.BindTo(ctx, (*context.Context)(nil)),
	)
	if err != nil {
		panic(err) // the grammar above is wrong
	}
	parser.Model.HelpFlag.Help = "Show this help."
	if len(args) == 0 {
		args = []string{"--help"}
	}
	parsed, err := parser.Parse(args)
	c.trace = grammar.Trace
	switch {
	case helped:
		return exitFine
	case err != nil:
		return c.tell(wrongUsage(err))
	}
	return c.tell(parsed.Run())
}

// wrongUsage says what is wrong with a command line.
func wrongUsage(err error) error {
	f := &failure{code: exitUsage, problem: err.Error(), do: `"matchmark --help" shows what can be typed`}
	var at *kong.ParseError
	if errors.As(err, &at) && at.Context.Selected() != nil {
		f.do = fmt.Sprintf(`"matchmark %s --help" shows what can be typed`, at.Context.Selected().Name)
	}
	for kongs, ours := range map[string]string{
		"unexpected argument ": "unexpected word ",
		"unknown flag ":        "unknown option ",
		"expected ":            "missing: ",
	} {
		if rest, found := strings.CutPrefix(f.problem, kongs); found {
			f.problem = ours + rest
		}
	}
	return f
}
