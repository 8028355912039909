package output

import (
	"errors"

	"golang.org/x/sys/unix"
)

// exchange swaps two folders in one step. It returns errors.ErrUnsupported
// where the kernel or the file system cannot.
func exchange(a, b string) error {
	err := unix.Renameat2(unix.AT_FDCWD, a, unix.AT_FDCWD, b, unix.RENAME_EXCHANGE)
	if err == unix.EINVAL || err == unix.ENOSYS {
		return errors.ErrUnsupported
	}
	return err
}
