package output

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"matchmark/procedure/say"
)

// refuseForeign returns a fault when the folder holds a file that no compile
// put there: replacing the folder would lose it.
func (b *Build) refuseForeign() error {
	entries, err := os.ReadDir(b.dir)
	if errors.Is(err, fs.ErrNotExist) || err == nil && len(entries) == 0 {
		return nil
	}
	if err != nil {
		return cannotWrite(b.named, err)
	}
	marker, err := os.ReadFile(filepath.Join(b.dir, Marker))
	list, ours := strings.CutPrefix(string(marker), markerHead)
	if err != nil || !ours {
		return &Fault{NotOurs,
			say.That("folder %folder is not empty and matchmark did not write it", say.Quoted(b.named)),
			say.That("name an empty or new folder with -o; nothing was changed"), err}
	}
	written := map[string]bool{Marker: true}
	for name := range strings.Lines(list) {
		written[strings.TrimSuffix(name, "\n")] = true
	}
	foreign, err := firstForeign(b.dir, written)
	if err != nil {
		return cannotWrite(b.named, err)
	}
	if foreign != "" {
		return &Fault{NotOurs,
			say.That("folder %folder holds %file, which matchmark did not write", say.Quoted(b.named), say.Quoted(foreign)),
			say.That("move that file out of the folder, since a compile replaces the folder whole; nothing was changed"), nil}
	}
	return nil
}

// firstForeign returns the first file below dir that is not in the list, "" for
// none. Files that desktops drop into every folder they show do not count.
func firstForeign(dir string, written map[string]bool) (string, error) {
	dropped := map[string]bool{".DS_Store": true, "Thumbs.db": true, "desktop.ini": true}
	found := ""
	err := fs.WalkDir(os.DirFS(dir), ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || written[name] || dropped[entry.Name()] {
			return err
		}
		found = name
		return fs.SkipAll
	})
	return found, err
}
