//go:build unix

package filelock

import (
	"os"

	"golang.org/x/sys/unix"
)

// RemoveWhileOpen says whether the system lets an open file be removed.
const RemoveWhileOpen = true

// Lock locks an open file, or returns ErrLocked. Closing the file lets the lock go.
func Lock(file *os.File) error {
	err := unix.Flock(int(file.Fd()), unix.LOCK_EX|unix.LOCK_NB)
	if err == unix.EWOULDBLOCK {
		return ErrLocked
	}
	return err
}
