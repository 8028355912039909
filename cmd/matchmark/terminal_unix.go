//go:build unix

package main

import (
	"os"

	"golang.org/x/sys/unix"
)

// isTerminal says whether a file is a terminal: only those have a window size.
func isTerminal(f *os.File) bool {
	_, err := unix.IoctlGetWinsize(int(f.Fd()), unix.TIOCGWINSZ)
	return err == nil
}
