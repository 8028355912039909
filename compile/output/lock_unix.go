//go:build unix

package output

import (
	"os"

	"golang.org/x/sys/unix"
)

// removeWhileOpen says whether the system lets an open file be removed.
const removeWhileOpen = true

func lockFile(file *os.File) error {
	err := unix.Flock(int(file.Fd()), unix.LOCK_EX|unix.LOCK_NB)
	if err == unix.EWOULDBLOCK {
		return errLocked
	}
	return err
}
