package filelock

import (
	"os"

	"golang.org/x/sys/windows"
)

// RemoveWhileOpen says whether the system lets an open file be removed.
const RemoveWhileOpen = false

// Lock locks an open file, or returns ErrLocked. Closing the file lets the lock go.
func Lock(file *os.File) error {
	err := windows.LockFileEx(windows.Handle(file.Fd()),
		windows.LOCKFILE_EXCLUSIVE_LOCK|windows.LOCKFILE_FAIL_IMMEDIATELY, 0, 1, 0, new(windows.Overlapped))
	if err == windows.ERROR_LOCK_VIOLATION {
		return ErrLocked
	}
	return err
}
