package output

import (
	"os"

	"golang.org/x/sys/windows"
)

// removeWhileOpen says whether the system lets an open file be removed.
const removeWhileOpen = false

func lockFile(file *os.File) error {
	err := windows.LockFileEx(windows.Handle(file.Fd()),
		windows.LOCKFILE_EXCLUSIVE_LOCK|windows.LOCKFILE_FAIL_IMMEDIATELY, 0, 1, 0, new(windows.Overlapped))
	if err == windows.ERROR_LOCK_VIOLATION {
		return errLocked
	}
	return err
}
