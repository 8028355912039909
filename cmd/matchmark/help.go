package main

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/alecthomas/kong"

	"matchmark/procedure/say"
)

// helpCommand shows the help of a command, or that of all.
type helpCommand struct {
	Command []string `arg:"" optional:"" name:"COMMAND" help:"The command. Without it, all commands are listed."`
}

// Run shows what --help shows.
func (m *helpCommand) Run(parsed *kong.Context, helped *bool) error {
	if _, err := parsed.Kong.Parse(append(m.Command, "--help")); err != nil && !*helped {
		return wrongUsage(err, nil)
	}
	return nil
}

// plainHelp turns kong's help into the words of people who do not write programs.
var plainHelp = strings.NewReplacer(
	"<[LIBRARY] RECORDS> ...", "[LIBRARY] RECORDS...",
	"<[LIBRARY] RESULTS> ...", "[LIBRARY] RESULTS...",
	"[<[LIBRARY] ESTIMATES> ...]", "[LIBRARY] ESTIMATES...",
	"<[LIBRARY] FILES> ...", "[LIBRARY] FILES...",
	"<RECORD> ...", "RECORD...",
	"[<LIBRARY>]", "[LIBRARY]", "<LIBRARY>", "LIBRARY",
	"<COMMAND>", "COMMAND", "<SHELL>", "SHELL", "<DIR>", "DIR", "<FILE>", "FILE", "[<CODE>]", "[CODE]", "<OLD> <NEW>", "OLD NEW", "<OLD>", "OLD", "<NEW>", "NEW",
	"[flags]", "[options]",
	"Flags:", "Options:",
	"<command> --help", "COMMAND --help",
	"<command>", "COMMAND",
	`" for more information on a command.`, `" for more about a command.`,
)

// printHelp prints kong's help in plain words, in a language.
func printHelp(options kong.HelpOptions, ctx *kong.Context, l say.Language) error {
	var text bytes.Buffer
	out := ctx.Stdout
	ctx.Stdout = &text
	sayHelp(ctx.Model, l)
	err := kong.DefaultHelpPrinter(options, ctx)
	ctx.Stdout = out
	if err != nil {
		return err
	}
	_, err = fmt.Fprint(out, sayHeadings(plainHelp.Replace(text.String()), l))
	return err
}

// sayHeadings says in a language what stands around the texts of a help.
func sayHeadings(help string, l say.Language) string {
	lines := strings.Split(help, "\n")
	for i, line := range lines {
		lines[i] = l.Of(line)
		if usage, is := strings.CutPrefix(line, "Usage: "); is {
			lines[i] = l.Of("Usage:") + " " + strings.Replace(usage, "[options]", l.Of("[options]"), 1)
		}
	}
	return strings.Join(lines, "\n")
}
