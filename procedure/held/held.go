// Package held is for files that somebody else has open. On Windows, a virus scanner or an indexer opens what was just written, and as long as it reads,
// nobody can rename or remove it: that passes, and is waited for. Elsewhere open files are in nobody's way.
package held

import (
	"os"
	"time"
)

// The first wait, and how long is waited in all.
const (
	firstWait = 2 * time.Millisecond
	patience  = 2 * time.Second
)

// Rename is os.Rename that waits while somebody else holds one of the two.
func Rename(from, to string) error {
	return again(func() error { return os.Rename(from, to) }, byOthers)
}

// Remove is os.Remove that waits while somebody else holds the file.
func Remove(name string) error {
	return again(func() error { return os.Remove(name) }, byOthers)
}

// RenameIn is Rename inside a folder.
func RenameIn(root *os.Root, from, to string) error {
	return again(func() error { return root.Rename(from, to) }, byOthers)
}

// again does something until it ends otherwise than by what passes, each time after twice the wait, and gives up with the last error.
func again(do func() error, passes func(error) bool) error {
	waited := time.Duration(0)
	for wait := firstWait; ; wait *= 2 {
		err := do()
		if err == nil || !passes(err) || waited+wait > patience {
			return err
		}
		time.Sleep(wait)
		waited += wait
	}
}
