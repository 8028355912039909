package output

import (
	"crypto/sha256"
	"errors"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"sync/atomic"

	"matchmark/procedure/held"
	"matchmark/procedure/parallel"
)

// Stamp is what tells whether a file of a site is still the one that was written:
// the sum of its bytes, and the size and time of change that it had.
type Stamp struct {
	Sum  [sha256.Size]byte
	Size int64
	// Time is in nanoseconds since 1970; for a folder it is all that is looked at.
	Time int64
}

// holds reports whether a file that was looked at has the stamp's size and time.
func (s Stamp) holds(info fs.FileInfo) bool {
	return info.Mode().IsRegular() && info.Size() == s.Size && info.ModTime().UnixNano() == s.Time
}

// Trust tells the build how the files of the old site were stamped when they were
// written. Keep takes a file whose size and time are still those; with thorough it
// reads the file and compares the sum.
func (b *Build) Trust(stamps map[string]Stamp, thorough bool) {
	b.trusted, b.thorough = stamps, thorough
}

// Keep takes the file of that name over from the old site, if it is known to have
// that sum. It reports whether it did; if not, Put must give the file.
func (b *Build) Keep(name string, sum [sha256.Size]byte) bool {
	stamp, known := b.trusted[name]
	if !known || stamp.Sum != sum || CheckPath(name) != nil {
		return false
	}
	before := b.at(b.dir, name)
	info, err := os.Lstat(before)
	if err != nil || !stamp.holds(info) || b.thorough && !hasSum(before, sum) {
		return false
	}
	if b.folder(name) != nil || held.Link(before, b.at(b.fresh(), name)) != nil || b.enter(name) != nil {
		return false
	}
	b.stamp(name, stamp)
	return true
}

// Put takes a file of the site whose sum is known.
func (b *Build) Put(name string, content []byte, sum [sha256.Size]byte) error {
	if err := b.Write(name, content); err != nil {
		return err
	}
	info, err := os.Lstat(b.at(b.fresh(), name))
	if err != nil {
		return cannotWrite(b.named, err)
	}
	b.stamp(name, Stamp{sum, info.Size(), info.ModTime().UnixNano()})
	return nil
}

func (b *Build) stamp(name string, s Stamp) {
	b.mu.Lock()
	b.stamps[name] = s
	b.mu.Unlock()
}

func (b *Build) at(dir, name string) string { return filepath.Join(dir, filepath.FromSlash(name)) }

func hasSum(name string, sum [sha256.Size]byte) bool {
	content, err := os.ReadFile(name)
	return err == nil && sha256.Sum256(content) == sum
}

// Stamps returns the stamps of the files that Keep and Put took.
func (b *Build) Stamps() map[string]Stamp { return b.stamps }

// Folders stamps the folders of a site and its marker, by site path. A file that
// is added to a folder, taken out of it or replaced changes the folder's time.
func Folders(dir string, files []string) (map[string]Stamp, error) {
	names := map[string]bool{".": true}
	for _, f := range files {
		for folder := path.Dir(f); !names[folder]; folder = path.Dir(folder) {
			names[folder] = true
		}
	}
	out := make(map[string]Stamp, len(names)+1)
	for name := range names {
		info, err := os.Lstat(filepath.Join(dir, filepath.FromSlash(name)))
		if err != nil {
			return nil, err
		}
		out[name] = Stamp{Time: info.ModTime().UnixNano()}
	}
	info, err := os.Lstat(filepath.Join(dir, Marker))
	if err != nil {
		return nil, err
	}
	out[Marker] = Stamp{Size: info.Size(), Time: info.ModTime().UnixNano()}
	return out, nil
}

// Stands reports whether a site's folders and its marker are as Folders stamped them.
// What was changed inside a file without replacing the file is not seen. A site that
// is being written, or whose writing was cut off, does not stand.
func Stands(dir string, folders map[string]Stamp) bool {
	if _, err := os.Lstat(workFolder(dir)); !errors.Is(err, fs.ErrNotExist) {
		return false
	}
	names := slices.Collect(maps.Keys(folders))
	var other atomic.Bool
	parallel.Each(names, func(i int) {
		if !other.Load() && !stands(dir, names[i], folders[names[i]]) {
			other.Store(true)
		}
	})
	return !other.Load()
}

func stands(dir, name string, stamp Stamp) bool {
	info, err := os.Lstat(filepath.Join(dir, filepath.FromSlash(name)))
	if err != nil || info.ModTime().UnixNano() != stamp.Time {
		return false
	}
	if name == Marker {
		return stamp.holds(info)
	}
	return info.IsDir()
}

// Locate returns the folder that a site's folder is once links are followed.
func Locate(dir string) (string, error) { return locate(dir) }
