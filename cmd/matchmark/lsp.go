package main

import (
	"context"
	"os"

	"matchmark/compile/lsp"
)

// lspCommand helps an editor.
type lspCommand struct{}

// Help is shown below the command's one line.
func (*lspCommand) Help() string {
	return `An editor starts it and talks to it over standard input and output, by the Language Server Protocol. It says what is wrong while you type, completes names, shows what a name means and where it is used, renames, and puts right what can be put right.`
}

// Run answers the editor until it ends.
func (m *lspCommand) Run(ctx context.Context, _ *console) error {
	tradeMemoryForTime()
	return lsp.Serve(ctx, standardStreams{}, version())
}

// standardStreams are the two ends that an editor holds.
type standardStreams struct{}

func (standardStreams) Read(b []byte) (int, error)  { return os.Stdin.Read(b) }
func (standardStreams) Write(b []byte) (int, error) { return os.Stdout.Write(b) }
func (standardStreams) Close() error                { return os.Stdin.Close() }
