package output

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"matchmark/compile/filelock"
)

// takeLock makes the hidden folder and takes the lock in it.
func takeLock(work string) (*os.File, error) {
	name := filepath.Join(work, "lock")
	for range 100 {
		if err := os.Mkdir(work, 0o777); err != nil && !errors.Is(err, fs.ErrExist) {
			return nil, err
		}
		file, err := os.OpenFile(name, os.O_CREATE|os.O_RDWR, 0o666)
		if errors.Is(err, fs.ErrNotExist) {
			continue // its owner took the folder away between our two calls
		}
		if err != nil {
			return nil, err
		}
		if err := filelock.Lock(file); err != nil {
			file.Close()
			return nil, err
		}
		if isAt(file, name) {
			return file, nil
		}
		file.Close() // we locked a file that its owner had just taken away
	}
	return nil, filelock.ErrLocked
}

func isAt(file *os.File, name string) bool {
	held, err := file.Stat()
	if err != nil {
		return false
	}
	there, err := os.Stat(name)
	return err == nil && os.SameFile(held, there)
}

// dropLock takes the hidden folder away, unless the next compile has moved in already.
func dropLock(work string, lock *os.File) {
	if filelock.RemoveWhileOpen {
		os.Remove(lock.Name())
		os.Remove(work)
	}
	lock.Close()
	if !filelock.RemoveWhileOpen {
		os.Remove(lock.Name())
		os.Remove(work)
	}
}
