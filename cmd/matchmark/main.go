// Command matchmark turns workshop removal procedures into a training site.
//
//	matchmark compile [LIBRARY] [-o DIR]   make the site
//	matchmark check [LIBRARY]              look for faults, write nothing
//	matchmark watch [LIBRARY]              make the site again at every save, and show it
//	matchmark plan [LIBRARY]               split a course into sessions
//	matchmark revise [LIBRARY] RECORDS...  work out better times from recorded ones
//	matchmark mark [LIBRARY] RESULTS...    say how a class did in a quiz
//	matchmark cutscore [LIBRARY] TABLES... work out a pass mark from judges' estimates
//	matchmark calibrate [LIBRARY] RESULTS... say how hard questions are, over several classes
//	matchmark retention [LIBRARY] RESULTS... ask again what was missed
//	matchmark competence [LIBRARY] FILES... say who has shown what, and until when
//	matchmark workorder RECORD...          make the work order of a job that tablets wrote down
//	matchmark serve [LIBRARY]              serve a class: the site to tablets, what they hand in to the trainer
//	matchmark backup, matchmark restore    copy a class's data, and get a copy back
//	matchmark import                       bring a class into a database of several workshops
//	matchmark compare OLD NEW              say what changed between two editions
//	matchmark export [LIBRARY] --as scorm  make packages of the quizzes for learning systems
//	matchmark tidy LIBRARY                 write its files in their one form
//	matchmark register FILE --as fasteners write a spreadsheet's table as a register
//	matchmark workbook [LIBRARY] --machine ID  write a machine's registers into a spreadsheet
//	matchmark similar [LIBRARY] --machine ID   say what differs from the machine that it is like
//	matchmark start                        open the start page in the browser
//	matchmark new DIR                      start a library
//	matchmark lsp                          help an editor, which starts it
//	matchmark explain [CODE]               say what a message means
//	matchmark language                     print the language reference
//	matchmark guide [TOPIC]                print the guide for trainers and administrators
//	matchmark completion SHELL             print what makes a shell complete its words
//	matchmark man                          print the manual page
//	matchmark schema NAME                  print the JSON Schema of what --format json prints
//	matchmark licences                     print the licences of what is built in
//	matchmark help [COMMAND]               say how a command is used
//	matchmark version                      print the version
//
// Without LIBRARY the demo library is taken, which is part of the program.
//
// Exit codes:
//
//	0    all went well
//	1    the library has errors, or warnings with check --fail-on=warning
//	2    invalid command or option
//	3    file, disk, port or permission error
//	4    internal error of matchmark
//	130  stopped with Ctrl-C
package main

import (
	"context"
	"os"
	"runtime/debug"
	"strings"
	"sync"

	"github.com/alecthomas/kong"

	"matchmark/procedure/say"
)

// commands is what can be typed, with its help.
type commands struct {
	Compile     compileCommand    `cmd:"" help:"Compile a library into a training site."`
	Check       checkCommand      `cmd:"" help:"Check a library for faults; nothing is written."`
	Watch       watchCommand      `cmd:"" help:"Recompile at every save and show the site in the browser."`
	Plan        planCommand       `cmd:"" help:"Split a course or a procedure into sessions that end at safe stops."`
	Renew       renewCommand      `cmd:"" help:"Write an older library in today's form of the language; no page changes."`
	Revise      reviseCommand     `cmd:"" help:"Revise time estimates from recorded step times."`
	Mark        markCommand       `cmd:"" help:"Evaluate the quiz results of a class: who passed, which questions are bad, which steps were not understood."`
	Cutscore    cutscoreCommand   `cmd:"" help:"Work out a pass mark from judges' estimates."`
	Calibrate   calibrateCommand  `cmd:"" help:"Work out how hard the questions of a quiz are, over several classes."`
	Retention   retentionCommand  `cmd:"" help:"Ask again what was missed: short quizzes at growing intervals, and what is forgotten over months."`
	Competence  competenceCommand `cmd:"" help:"Show who has done what, under whose eyes, and when it runs out: a matrix of learners and aims."`
	Workorder   workorderCommand  `cmd:"" help:"Make the work order of a job: findings with photos, parts to order, times, hold points, and the refitting checklist with the repairs."`
	Compare     compareCommand    `cmd:"" help:"Show what changed between two editions of a library."`
	Serve       serveCommand      `cmd:"" help:"Serve a class: the site to its tablets, and what they hand in to the trainer's board."`
	Backup      backupCommand     `cmd:"" help:"Back up the data of a class, even while it runs."`
	Restore     restoreCommand    `cmd:"" help:"Restore a class backup."`
	Import      importCommand     `cmd:"" help:"Bring a class that ran on its own into a database of several workshops."`
	Export      exportCommand     `cmd:"" help:"Export quizzes for learning systems: SCORM 1.2 or QTI 3.0."`
	Tidy        tidyCommand       `cmd:"" help:"Format the files of a library; no page changes."`
	Register    registerCommand   `cmd:"" help:"Turn a spreadsheet table into a register, once."`
	Workbook    workbookCommand   `cmd:"" help:"Write a machine's registers to a spreadsheet, to print or to fill in."`
	Similar     similarCommand    `cmd:"" help:"Show what differs from the machine that one is made from, and what to look at again."`
	Refitting   refittingCommand  `cmd:"" help:"Write the derived refitting of a procedure as source, to go on with."`
	Start       startCommand      `cmd:"" help:"Open the start page in the browser: libraries, the demo, a class."`
	New         newCommand        `cmd:"" help:"Start a new library: small, complete, with comments that teach."`
	Lsp         lspCommand        `cmd:"" help:"Help an editor: messages while you type, names, meanings, renaming. Editors start it."`
	Explain     explainCommand    `cmd:"" help:"Explain the code of a message and what to do about it."`
	Guide       guideCommand      `cmd:"" help:"Print the guide for trainers and administrators."`
	Language    languageCommand   `cmd:"" help:"Print the reference of the language that libraries are written in."`
	Licences    licencesCommand   `cmd:"" help:"Print the licences of matchmark and of all that it is built from."`
	Schema      schemaCommand     `cmd:"" help:"Print the JSON Schema of what a command prints with --format json."`
	Completion  completionCommand `cmd:"" help:"Print the script that lets a shell complete commands and options."`
	Man         manCommand        `cmd:"" help:"Print the manual page."`
	Help        helpCommand       `cmd:"" help:"Show this help, or that of a command."`
	Version     versionCommand    `cmd:"" help:"Print the version."`
	settings    *settings
	ShowVersion versionFlag `name:"version" help:"Print the version."`
	Quiet       bool        `short:"q" help:"Print results and problems only: no progress, hints or file names."`
	Color       string      `enum:"auto,always,never" default:"auto" help:"When to use colors: auto (in a terminal, unless NO_COLOR is set), always or never."`
	Messages    string      `enum:"library,en,de" default:"library" help:"Language of messages: that of the library, en or de. What is printed for programs stays English."`
	Trace       bool        `hidden:"" help:"Print where matchmark itself failed, for a report."`
}

const about = `matchmark turns workshop procedures, written as text files, into a training
site: step pages for a tablet, checklists and labels to print, and quizzes.

  matchmark new bakery          start a library in the folder bakery
  matchmark watch bakery        edit it, and see the pages change at every save
  matchmark check bakery        list what is wrong with it
  matchmark compile bakery      make the site in the folder site
  matchmark plan bakery         split its course into sessions

A library is a folder of Markdown files and pictures. Without one, the commands
take the demo library, which is part of the program.

Results go to standard output, everything else to standard error. Where a file is
read or written, - stands for standard input or output.

An option that you always want can be set in the environment, such as
MATCHMARK_CHECK_FAIL_ON=warning or MATCHMARK_COLOR=never, or in the settings file
matchmark/settings.yaml in your configuration folder (MATCHMARK_SETTINGS names
another one). The command line counts first, then the environment, then the file:

  color: never
  check:
    fail-on: warning

Exit codes, for scripts:
  0    success
  1    the library has errors, or warnings with check --fail-on=warning
  2    invalid command or option
  3    file, disk, port or permission error
  4    internal error of matchmark
  130  stopped with Ctrl-C`

func main() {
	os.Exit(run(context.Background(), os.Args[1:], newConsole(os.Stdout, os.Stderr)))
}

// run carries out one command line and returns the exit code. What runs until it
// is stopped ends with ctx.
func run(ctx context.Context, args []string, c *console) (code int) {
	c = c.careful()
	defer func() {
		if cause := recover(); cause != nil {
			code = c.tell(newOwnFault(cause, debug.Stack()))
		}
	}()
	c.messages = askedMessages(args)
	grammar := &commands{}
	helped := false
	parser, err := newParser(grammar, c, &helped)
	if err != nil {
		return c.tell(err)
	}
	if len(args) == 0 {
		args = withoutWords()
	}
	if hasEmptyWord(args) {
		return c.tell(&failure{code: exitUsage, problem: say.That("an empty word stands on the command line"), do: say.That("name a folder or a file there, or leave it out; in a script, a variable may be empty")})
	}
	parsed, err := parser.Parse(args)
	c.trace, c.quiet = grammar.Trace, grammar.Quiet
	c.useColours(grammar.Color)
	switch {
	case helped:
		return exitFine
	case err != nil:
		return c.tell(wrongUsage(err, grammar.settings))
	}
	if on, is := parsed.Selected().Target.Addr().Interface().(interface{ language(*console) say.Language }); is {
		c.library = sync.OnceValue(func() say.Language { return on.language(c) })
	}
	return c.tell(runUntilInterrupted(ctx, parsed, c))
}

// hasEmptyWord reports whether a word is empty that is no option's value: the demo library must not be taken for a folder whose name got lost.
func hasEmptyWord(args []string) bool {
	for i, word := range args {
		if word == "" && (i == 0 || !strings.HasPrefix(args[i-1], "-")) {
			return true
		}
	}
	return false
}

// withoutWords is what is done when nothing is typed: a double click opens the start page.
func withoutWords() []string {
	if doubleClicked() {
		return []string{"start"}
	}
	return []string{"--help"}
}

// newParser makes the parser of the command line; helped becomes true when it has shown a help.
func newParser(grammar *commands, c *console, helped *bool) (*kong.Kong, error) {
	settings, err := newSettings(os.LookupEnv)
	if err != nil {
		return nil, err
	}
	grammar.settings = settings
	if c.messages == "" {
		c.messages = settings.messages()
	}
	parser, err := kong.New(grammar,
		kong.Name("matchmark"),
		kong.Description(about),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, FlagsLast: true, NoAppDescFormat: true, WrapUpperBound: 90}),
		kong.Help(func(options kong.HelpOptions, ctx *kong.Context) error {
			return printHelp(options, ctx, helpLanguage(c.messages))
		}),
		kong.Writers(c.out, c.err),
		kong.Exit(func(int) { *helped = true }),
		kong.Bind(c, helped),
		kong.Resolvers(settings),
	)
	if err != nil {
		panic(err) // the grammar is wrong
	}
	parser.Model.HelpFlag.Help = "Show this help."
	return parser, nil
}
