package cache

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// temporaryPrefix starts the names of files that are being written.
const temporaryPrefix = "new-"

// sizeNote is the file that says how large the cache was, and when it was counted.
const sizeNote = "size"

// abandoned is the age from which a file that is still being written counts as left behind.
const abandoned = time.Hour

// recount is how long the size that was noted is believed: processes that end at
// the same moment may note too little.
const recount = 24 * time.Hour

// Trim takes the entries that were not used for the longest time out, until the
// cache keeps its size. It counts only when what was added since the last count
// may be too much.
func (c *Cache) Trim() {
	if c == nil {
		return
	}
	added := c.added.Swap(0)
	if added == 0 {
		return
	}
	note := filepath.Join(c.dir, sizeNote)
	var total, counted int64
	if text, err := os.ReadFile(note); err == nil {
		if _, err := fmt.Sscan(string(text), &total, &counted); err == nil && total+added <= c.limit && time.Since(time.Unix(counted, 0)) < recount {
			c.keep(note, fmt.Appendln(nil, total+added, counted))
			c.added.Store(0)
			return
		}
	}
	c.keep(note, fmt.Appendln(nil, c.count(), time.Now().Unix()))
	c.added.Store(0)
}

// count returns how many bytes the cache holds, once the oldest entries that are too much are gone.
func (c *Cache) count() (total int64) {
	type entry struct {
		name string
		size int64
		used time.Time
	}
	var entries []entry
	filepath.WalkDir(c.dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || d.Name() == sizeNote {
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
		return total
	}
	slices.SortFunc(entries, func(a, b entry) int { return a.used.Compare(b.used) })
	for _, e := range entries {
		if total <= c.limit {
			break
		}
		if os.Remove(e.name) == nil {
			total -= e.size
		}
	}
	return total
}
