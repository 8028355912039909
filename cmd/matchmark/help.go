package main

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/alecthomas/kong"
)

// printHelp prints kong's help in the words of people who do not write programs.
func printHelp(options kong.HelpOptions, ctx *kong.Context) error {
	var text bytes.Buffer
	out := ctx.Stdout
	ctx.Stdout = &text
	err := kong.DefaultHelpPrinter(options, ctx)
	ctx.Stdout = out
	if err != nil {
		return err
	}
	plain := strings.NewReplacer(
		"<[LIBRARY] RECORDS> ...", "[LIBRARY] RECORDS...",
		"[flags]", "[options]",
		"Flags:", "Options:",
		"<command> --help", "COMMAND --help",
		"<command>", "COMMAND",
		`" for more information on a command.`, `" for more about a command.`,
	)
	_, err = fmt.Fprint(out, plain.Replace(text.String()))
	return err
}
