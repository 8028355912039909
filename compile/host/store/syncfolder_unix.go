//go:build unix

package store

import (
	"errors"
	"os"
)

// syncFolder has the names in a folder on the disk.
func syncFolder(dir string) error {
	folder, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(folder.Sync(), folder.Close())
}
