package main

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/alecthomas/kong"
)

// helpCommand shows the help of a command, or that of all.
type helpCommand struct {
	Command []string `arg:"" optional:"" name:"COMMAND" help:"The command. Without it, all commands are listed."`
}

// Run shows what --help shows.
func (m *helpCommand) Run(parsed *kong.Context, helped *bool) error {
	if _, err := parsed.Kong.Parse(append(m.Command, "--help")); err != nil && !*helped {
		return wrongUsage(err)
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

// printHelp prints kong's help in plain words.
func printHelp(options kong.HelpOptions, ctx *kong.Context) error {
	var text bytes.Buffer
	out := ctx.Stdout
	ctx.Stdout = &text
	err := kong.DefaultHelpPrinter(options, ctx)
	ctx.Stdout = out
	if err != nil {
		return err
	}
	_, err = fmt.Fprint(out, plainHelp.Replace(text.String()))
	return err
}
