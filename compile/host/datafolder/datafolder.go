// Package datafolder is the folder in which a class host keeps all that it has: where it lies, what may not be one, and who works with it.
package datafolder

import (
	"context"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"matchmark/compile/filelock"
	"matchmark/compile/host/store"
	"matchmark/compile/output"
	"matchmark/procedure/say"
)

// unusable says that a data folder cannot be used, and what to do.
func unusable(problem, do say.Text) error {
	return &output.Fault{Kind: output.Unusable, Problem: problem, Do: do}
}

// Default is where the class's data lies when no folder is named.
// Source: XDG Base Directory Specification 0.8; os.UserConfigDir for the other systems.
func Default() (string, error) {
	if data := os.Getenv("XDG_DATA_HOME"); filepath.IsAbs(data) {
		return filepath.Join(data, "matchmark", "class"), nil
	}
	switch runtime.GOOS {
	case "windows", "darwin", "ios":
		base, err := os.UserConfigDir()
		if err != nil {
			return "", unusable(say.That("the system does not say where data belongs: %cause", say.Foreign(err.Error())), say.That("name a folder with --data"))
		}
		return filepath.Join(base, "matchmark", "class"), nil
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", unusable(say.That("the system does not say where data belongs: %cause", say.Foreign(err.Error())), say.That("name a folder with --data"))
	}
	return filepath.Join(home, ".local", "share", "matchmark", "class"), nil
}

// Apart refuses a data folder that lies inside another folder, such as the
// library, from which it would be copied or published along.
func Apart(dir, other string, what say.Text) error {
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
		return unusable(say.That("the data folder %folder lies inside %what", say.Name(dir), what), say.That("name another folder with --data: names of learners must not be handed on with it"))
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
// alone. A folder that holds other things and nothing of a class is refused, and not touched. Closing the file lets it go.
func Lock(dir string) (*os.File, error) {
	if foreign(dir) {
		return nil, unusable(say.That("the data folder %folder holds other files, and no class's data", say.Name(dir)), say.That("name a folder with --data that is empty or not there yet"))
	}
	if err := store.Folder(dir); err != nil {
		return nil, unusable(say.That("the data folder %folder cannot be used: %cause", say.Name(dir), say.Foreign(err.Error())), say.That("name another folder with --data"))
	}
	file, err := os.OpenFile(filepath.Join(dir, "lock"), os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return nil, unusable(say.That("the data folder %folder cannot be used: %cause", say.Name(dir), say.Foreign(err.Error())), say.That("name another folder with --data"))
	}
	if err := filelock.Lock(file); err != nil {
		file.Close()
		if errors.Is(err, filelock.ErrLocked) {
			return nil, unusable(say.That("another class host works with the data folder %folder", say.Name(dir)), say.That("end it, or name another folder with --data"))
		}
		return nil, say.Because(say.That("locking the data folder"), err)
	}
	return file, nil
}

// foreign reports whether a folder has something in it, and nothing of a class.
func foreign(dir string) bool {
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) == 0 {
		return false // what cannot be read is met when it is used
	}
	for _, e := range entries {
		if slices.Contains(store.Files, e.Name()) {
			return false
		}
	}
	return true
}

// Ports are those that the class was reached by, the present ones last.
type Ports struct {
	Plain  []int `json:"plain"`
	Secure []int `json:"secure"`
}

const portsSetting = "ports"

// ReadPorts returns the ports of earlier starts; none at the first.
func ReadPorts(ctx context.Context, s *store.Store) (p Ports, err error) {
	kept, err := s.Setting(ctx, portsSetting)
	if errors.Is(err, store.ErrUnknown) {
		return p, nil
	}
	if err == nil {
		err = json.Unmarshal(kept, &p)
	}
	return p, err
}

// KeepPorts remembers them for the next start.
func KeepPorts(ctx context.Context, s *store.Store, p Ports) error {
	kept, err := json.Marshal(p)
	if err != nil {
		return err
	}
	return s.Set(ctx, portsSetting, kept)
}
