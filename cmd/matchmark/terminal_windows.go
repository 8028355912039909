package main

import (
	"os"
	"unsafe"

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

var consoleProcesses = windows.NewLazySystemDLL("kernel32.dll").NewProc("GetConsoleProcessList")

// doubleClicked says whether the program has a console of its own, which Windows makes for one that is started by a
// double click: no shell shares it.
func doubleClicked() bool {
	var ids [2]uint32
	n, _, _ := consoleProcesses.Call(uintptr(unsafe.Pointer(&ids[0])), uintptr(len(ids)))
	return n == 1 && isTerminal(os.Stdout)
}
