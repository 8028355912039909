// Package cache keeps what a compile made, outside the library, under the hash of
// everything that it was made from. What cannot be read, or is not what it was,
// is as good as not there: a cache costs time, never correctness.
package cache

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"sync/atomic"
	"time"

	"matchmark/procedure/held"
)

// Sum is a SHA-256 sum, of content or of what something is made from.
type Sum [sha256.Size]byte

// String writes the sum in hexadecimal digits.
func (s Sum) String() string { return hex.EncodeToString(s[:]) }

// SumOf returns the sum of content.
func SumOf(content []byte) Sum { return sha256.Sum256(content) }

// layout names the form of the files; change it whenever they would be read wrongly.
const layout = "v1"

// usualLimit is how large a cache grows, in bytes.
const usualLimit = 4 << 30

// fresh is how long ago a file must have been used at most to count as used just now.
const fresh = time.Hour

// Cache is a folder of entries. It may be used from several goroutines and
// processes at once. A nil Cache has nothing and keeps nothing.
type Cache struct {
	dir   string
	limit int64
	// added counts the bytes written since the last Trim.
	added atomic.Int64
}

// Open returns the cache in a folder, which need not exist, and which may turn
// out not to be writable: nothing is kept then. An empty name means the user's
// own cache folder; where there is none, the cache is nil.
func Open(dir string) *Cache {
	if dir == "" {
		above, err := os.UserCacheDir()
		if err != nil {
			return nil
		}
		dir = filepath.Join(above, "matchmark")
	}
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil
	}
	return &Cache{dir: filepath.Join(dir, layout), limit: usualLimit}
}

// Limited returns the cache with another bound on its size, in bytes.
func (c *Cache) Limited(bytes int64) *Cache { return &Cache{dir: c.dir, limit: bytes} }

func (c *Cache) file(key Sum) string {
	name := key.String()
	return filepath.Join(c.dir, name[:2], name[2:])
}

// keep puts a file in place whole, or not at all. That it cannot be kept is no error.
func (c *Cache) keep(name string, parts ...[]byte) {
	dir := filepath.Dir(name)
	temporary, err := os.CreateTemp(dir, temporaryPrefix+"*")
	if errors.Is(err, fs.ErrNotExist) && os.MkdirAll(dir, 0o700) == nil {
		temporary, err = os.CreateTemp(dir, temporaryPrefix+"*")
	}
	if err != nil {
		return
	}
	var size int64
	for _, p := range parts {
		n, writeErr := temporary.Write(p)
		size += int64(n)
		err = errors.Join(err, writeErr)
	}
	err = errors.Join(err, temporary.Close())
	if err == nil {
		err = held.Rename(temporary.Name(), name)
	}
	if err != nil {
		held.Remove(temporary.Name())
		return
	}
	c.added.Add(size)
}

// touch says that a file was used now, so that it is among the last to go.
func touch(name string, info fs.FileInfo) {
	if now := time.Now(); now.Sub(info.ModTime()) > fresh {
		os.Chtimes(name, now, now) // a cache that cannot be written loses its order of age only
	}
}
