package main

import (
	"os"

	"golang.org/x/sys/windows"
)

// isTerminal says whether a file is a console, and makes it understand the
// sequences for colours and for writing over a line.
func isTerminal(f *os.File) bool {
	var mode uint32
	console := windows.Handle(f.Fd())
	if windows.GetConsoleMode(console, &mode) != nil {
		return false
	}
	return windows.SetConsoleMode(console, mode|windows.ENABLE_VIRTUAL_TERMINAL_PROCESSING) == nil
}
