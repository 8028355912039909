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

// doubleClicked says whether the program was started from a desktop and not from a terminal or a script: there is a
// screen, and nobody holds the other end of what it reads and writes.
func doubleClicked() bool {
	if os.Getenv("DISPLAY") == "" && os.Getenv("WAYLAND_DISPLAY") == "" {
		return false
	}
	for _, f := range []*os.File{os.Stdin, os.Stdout, os.Stderr} {
		if info, err := f.Stat(); err != nil || isTerminal(f) || info.Mode()&os.ModeNamedPipe != 0 || info.Mode().IsRegular() {
			return false
		}
	}
	return true
}
