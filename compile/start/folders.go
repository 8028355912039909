package start

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"matchmark/procedure/held"
)

// folder is one that can be opened.
type folder struct {
	Name, Path string
	IsLibrary  bool
}

// folders are those in a folder, hidden ones left out; the home folder when none is named or the one named is not there.
func folders(at string) (here, above string, inside []folder) {
	entries, err := os.ReadDir(at)
	if at == "" || err != nil {
		if at, err = os.UserHomeDir(); err == nil {
			entries, _ = os.ReadDir(at) // what cannot be read shows no folders
		}
	}
	for _, e := range entries {
		path := filepath.Join(at, e.Name())
		if info, err := os.Stat(path); err != nil || !info.IsDir() || strings.HasPrefix(e.Name(), ".") {
			continue
		}
		inside = append(inside, folder{e.Name(), path, isLibrary(path)})
	}
	if above = filepath.Dir(at); above == at {
		above = ""
	}
	return at, above, inside
}

// isLibrary says whether a folder looks like a library: the settings are there, or folders of its kind.
func isLibrary(path string) bool {
	for _, name := range []string{"library.yaml", "procedures", "machines"} {
		if _, err := os.Stat(filepath.Join(path, name)); err == nil {
			return true
		}
	}
	return false
}

// most is how many libraries are remembered.
const most = 8

// recent remembers which libraries were opened, the last one first. It is a convenience: what cannot be read or
// written is not remembered.
type recent struct{ file string }

func (r *recent) list() []folder {
	content, err := os.ReadFile(r.file)
	if err != nil {
		return nil
	}
	var paths []string
	if json.Unmarshal(content, &paths) != nil {
		return nil
	}
	var out []folder
	for _, path := range paths {
		if info, err := os.Stat(path); err == nil && info.IsDir() {
			out = append(out, folder{filepath.Base(path), path, true})
		}
	}
	return out
}

func (r *recent) add(path string) {
	paths := []string{path}
	for _, f := range r.list() {
		if f.Path != path && len(paths) < most {
			paths = append(paths, f.Path)
		}
	}
	content, err := json.Marshal(slices.Clip(paths))
	if err != nil {
		return
	}
	if os.MkdirAll(filepath.Dir(r.file), 0o700) == nil {
		_ = held.WriteFile(r.file, content, 0o600) // see above
	}
}
