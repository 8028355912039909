package cache

import (
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// temporaryPrefix starts the names of files that are being written.
const temporaryPrefix = "new-"

// abandoned is the age from which a file that is still being written counts as left behind.
const abandoned = time.Hour

// Trim takes the entries that were not used for the longest time out, until the
// cache keeps its size. It looks only after something was added.
func (c *Cache) Trim() {
	if c == nil || c.added.Swap(0) == 0 {
		return
	}
	type entry struct {
		name string
		size int64
		used time.Time
	}
	var entries []entry
	var total int64
	filepath.WalkDir(c.dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return nil // what cannot be looked at is left alone
		}
		info, err := d.Info()
		if err != nil {
			return nil
		}
		if strings.HasPrefix(d.Name(), temporaryPrefix) {
			if time.Since(info.ModTime()) > abandoned {
				os.Remove(name)
			}
			return nil
		}
		entries = append(entries, entry{name, info.Size(), info.ModTime()})
		total += info.Size()
		return nil
	})
	if total <= c.limit {
		return
	}
	slices.SortFunc(entries, func(a, b entry) int { return a.used.Compare(b.used) })
	for _, e := range entries {
		if total <= c.limit {
			return
		}
		if os.Remove(e.name) == nil {
			total -= e.size
		}
	}
}
