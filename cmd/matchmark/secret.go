package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"golang.org/x/term"

	"matchmark/procedure/say"
)

// readSecret reads one line that nobody is to see. On a terminal what is typed is
// not shown; from a pipe or a file the line is read as it is. When ctx ends, the
// terminal shows again what is typed.
func readSecret(ctx context.Context, in *os.File) (string, error) {
	fd := int(in.Fd())
	shown, err := term.GetState(fd)
	if err != nil { // no terminal
		line, err := bufio.NewReader(in).ReadString('\n')
		if err != nil && !errors.Is(err, io.EOF) {
			return "", fmt.Errorf("reading the PIN: %w", err)
		}
		return strings.TrimRight(line, "\r\n"), nil
	}
	type typed struct {
		line []byte
		err  error
	}
	done := make(chan typed, 1)
	go func() {
		line, err := term.ReadPassword(fd)
		done <- typed{line, err}
	}()
	select {
	case <-ctx.Done():
		if err := term.Restore(fd, shown); err != nil {
			return "", fmt.Errorf("making the terminal show again what is typed: %w", err)
		}
		return "", &failure{code: exitInterrupted, problem: say.That("stopped; the PIN was not set")}
	case t := <-done:
		if t.err != nil && !errors.Is(t.err, io.EOF) {
			return "", fmt.Errorf("reading the PIN: %w", t.err)
		}
		return string(t.line), nil
	}
}
