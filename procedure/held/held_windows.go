package held

import (
	"errors"
	"syscall"

	"golang.org/x/sys/windows"
)

// Source of the codes: Microsoft, "System Error Codes (0-499)": 5, 32, 33, 39, 112.

func inUse(err error) bool {
	return errors.Is(err, windows.ERROR_SHARING_VIOLATION) || errors.Is(err, windows.ERROR_LOCK_VIOLATION)
}

func denied(err error) bool { return errors.Is(err, windows.ERROR_ACCESS_DENIED) }

func full(err error) bool {
	return errors.Is(err, windows.ERROR_DISK_FULL) || errors.Is(err, windows.ERROR_HANDLE_DISK_FULL) || errors.Is(err, syscall.ENOSPC)
}
