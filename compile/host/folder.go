package host

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"

	"matchmark/compile/filelock"
	"matchmark/compile/host/pin"
	"matchmark/compile/host/store"
)

// FolderError says that a data folder cannot be used, and what to do.
type FolderError struct{ Problem, Do string }

// Error returns what is wrong.
func (e *FolderError) Error() string { return e.Problem }

// DefaultFolder is where the class's data lies when no folder is named.
// Source: XDG Base Directory Specification 0.8; os.UserConfigDir for the other systems.
func DefaultFolder() (string, error) {
	if data := os.Getenv("XDG_DATA_HOME"); filepath.IsAbs(data) {
		return filepath.Join(data, "matchmark", "class"), nil
	}
	switch runtime.GOOS {
	case "windows", "darwin", "ios":
		base, err := os.UserConfigDir()
		if err != nil {
			return "", &FolderError{"the system does not say where data belongs: " + err.Error(), "name a folder with --data"}
		}
		return filepath.Join(base, "matchmark", "class"), nil
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", &FolderError{"the system does not say where data belongs: " + err.Error(), "name a folder with --data"}
	}
	return filepath.Join(home, ".local", "share", "matchmark", "class"), nil
}

// Apart refuses a data folder that lies inside another folder, such as the
// library, from which it would be copied or published along.
func Apart(dir, other, what string) error {
	if other == "" {
		return nil
	}
	inner, err := resolved(dir)
	if err != nil {
		return err
	}
	outer, err := resolved(other)
	if err != nil {
		return err
	}
	if rel, err := filepath.Rel(outer, inner); err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator)) {
		return &FolderError{fmt.Sprintf("the data folder %s lies inside %s", dir, what), "name another folder with --data: names of learners must not be handed on with it"}
	}
	return nil
}

// resolved is a path without links, as far as it exists.
func resolved(path string) (string, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	rest := ""
	for {
		if real, err := filepath.EvalSymlinks(path); err == nil {
			return filepath.Join(real, rest), nil
		}
		above := filepath.Dir(path)
		if above == path {
			return filepath.Join(path, rest), nil
		}
		path, rest = above, filepath.Join(filepath.Base(path), rest)
	}
}

// Lock makes a data folder if it is not there, and takes it for this process
// alone. Closing the file lets it go.
func Lock(dir string) (*os.File, error) {
	if err := store.Folder(dir); err != nil {
		return nil, &FolderError{fmt.Sprintf("the data folder %s cannot be used: %v", dir, err), "name another folder with --data"}
	}
	file, err := os.OpenFile(filepath.Join(dir, "lock"), os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return nil, &FolderError{fmt.Sprintf("the data folder %s cannot be used: %v", dir, err), "name another folder with --data"}
	}
	if err := filelock.Lock(file); err != nil {
		file.Close()
		if errors.Is(err, filelock.ErrLocked) {
			return nil, &FolderError{fmt.Sprintf("another class host works with the data folder %s", dir), "end it, or name another folder with --data"}
		}
		return nil, fmt.Errorf("locking the data folder: %w", err)
	}
	return file, nil
}

// SetPIN keeps a PIN that pin.Check takes.
func SetPIN(ctx context.Context, s *store.Store, p string) error {
	return s.Set(ctx, pinSetting, pin.Hash(p))
}

// HasPIN reports whether a PIN is set.
func HasPIN(ctx context.Context, s *store.Store) (bool, error) {
	_, err := s.Setting(ctx, pinSetting)
	if errors.Is(err, store.ErrUnknown) {
		return false, nil
	}
	return err == nil, err
}
