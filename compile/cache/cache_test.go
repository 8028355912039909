package cache

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gotest.tools/v3/assert"
)

func key(n int) Sum { return SumOf(fmt.Append(nil, n)) }

func page(n int) []File {
	var out []File
	for i := range 3 {
		content := []byte(strings.Repeat(fmt.Sprintf("<p>page %d of unit %d</p>\n", i, n), 200))
		out = append(out, File{fmt.Sprintf("unit/%d/%d.html", n, i), SumOf(content), len(content), content})
	}
	return out
}

func wantPack(t *testing.T, c *Cache, n int) {
	t.Helper()
	p := c.Get(key(n))
	if p == nil {
		t.Fatalf("pack %d is not there", n)
	}
	if string(p.Head) != fmt.Sprint("head ", n) {
		t.Errorf("the head of pack %d is %q", n, p.Head)
	}
	files, err := p.Open()
	assert.NilError(t, err)
	for i, f := range page(n) {
		if files[i].Path != f.Path || !bytes.Equal(files[i].Content, f.Content) {
			t.Errorf("file %s of pack %d is %s of %d bytes", f.Path, n, files[i].Path, len(files[i].Content))
		}
	}
}

func put(c *Cache, n int) { c.Put(key(n), fmt.Append(nil, "head ", n), page(n)) }

func TestPackIsReadAsItWasKept(t *testing.T) {
	c := Open(t.TempDir())
	for n := range 3 {
		put(c, n)
	}
	for n := range 3 {
		wantPack(t, c, n)
	}
	if c.Get(key(9)) != nil {
		t.Error("a pack is there that nobody kept")
	}
}

// TestDamage changes every byte of a pack in turn, and cuts it short everywhere:
// what is read is what was kept, or nothing.
func TestDamage(t *testing.T) {
	c := Open(t.TempDir())
	put(c, 1)
	name := c.file(key(1))
	whole, err := os.ReadFile(name)
	assert.NilError(t, err)
	whatever := func(damaged []byte, how string) {
		assert.NilError(t, os.WriteFile(name, damaged, 0o600))
		p := c.Get(key(1))
		if p == nil {
			return
		}
		if string(p.Head) != "head 1" {
			t.Fatalf("%s: the head is %q", how, p.Head)
		}
		files, err := p.Open()
		if err != nil {
			return
		}
		for i, f := range page(1) {
			if files[i].Path != f.Path || !bytes.Equal(files[i].Content, f.Content) {
				t.Fatalf("%s: %s has other bytes", how, f.Path)
			}
		}
	}
	for i := range whole {
		damaged := bytes.Clone(whole)
		damaged[i] ^= 0x55
		whatever(damaged, fmt.Sprintf("byte %d changed", i))
		whatever(whole[:i], fmt.Sprintf("cut after %d bytes", i))
	}
	whatever([]byte("<html>"), "another file")
	// A pack of another unit that got under this name is none.
	put(c, 2)
	other, err := os.ReadFile(c.file(key(2)))
	assert.NilError(t, err)
	assert.NilError(t, os.WriteFile(name, other, 0o600))
	if c.Get(key(1)) != nil {
		t.Error("a pack of another unit was taken")
	}
}

// TestWhatCannotKeep uses caches that cannot be written: nothing is kept, and nothing fails.
func TestWhatCannotKeep(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	assert.NilError(t, os.WriteFile(file, nil, 0o600))
	for name, c := range map[string]*Cache{"none": nil, "below a file": Open(filepath.Join(file, "cache"))} {
		t.Run(name, func(t *testing.T) {
			put(c, 1)
			if c.Get(key(1)) != nil {
				t.Error("something was kept")
			}
			c.Trim()
		})
	}
}

func TestOldestGoFirst(t *testing.T) {
	c := Open(t.TempDir())
	for n := range 10 {
		put(c, n)
		used := time.Now().Add(time.Duration(n-20) * time.Hour)
		assert.NilError(t, os.Chtimes(c.file(key(n)), used, used))
	}
	if c.Get(key(0)) == nil { // used just now
		t.Fatal("pack 0 is not there")
	}
	info, err := os.Stat(c.file(key(0)))
	assert.NilError(t, err)
	left := filepath.Join(filepath.Dir(c.file(key(0))), temporaryPrefix+"left")
	old := time.Now().Add(-2 * abandoned)
	assert.NilError(t, os.WriteFile(left, nil, 0o600))
	assert.NilError(t, os.Chtimes(left, old, old))
	c.limit = 4*info.Size() + 10
	c.Trim()
	for n := range 10 {
		there := c.Get(key(n)) != nil
		if want := n == 0 || n > 6; there != want {
			t.Errorf("pack %d there: %v, want %v", n, there, want)
		}
	}
	if _, err := os.Stat(left); err == nil {
		t.Error("a file that was left behind is still there")
	}
}

func TestFieldsAreReadInOrder(t *testing.T) {
	var f Fields
	f.String("é")
	f.Int(-5)
	f.Float(0.1)
	f.Sum(key(1))
	r := Read(f.B)
	if s, n, x, sum := r.String(), r.Int(), r.Float(), r.Sum(); s != "é" || n != -5 || x != 0.1 || sum != key(1) || r.Err != nil {
		t.Errorf("read %q %d %g %s, %v", s, n, x, sum, r.Err)
	}
	if r.Int() != 0 || r.Err == nil {
		t.Error("more was read than was written")
	}
	for cut := range len(f.B) {
		r := Read(f.B[:cut])
		_ = r.String()
		r.Int()
		r.Float()
		r.Sum()
		if r.Err == nil {
			t.Errorf("cut after %d bytes, all fields were read", cut)
		}
	}
}

// TestSizeIsKeptByTurns adds one pack after the other, each as a program of its own does.
func TestSizeIsKeptByTurns(t *testing.T) {
	dir := t.TempDir()
	var limit int64
	for n := range 60 {
		c := Open(dir)
		put(c, n)
		info, err := os.Stat(c.file(key(n)))
		assert.NilError(t, err)
		limit = 10 * info.Size()
		c.limit = limit
		c.Trim()
	}
	c := Open(dir)
	c.limit = limit
	if total := c.count(); total > limit {
		t.Errorf("the cache holds %d bytes, more than %d", total, limit)
	}
	if c.Get(key(59)) == nil {
		t.Error("the newest pack is gone")
	}
	// A note that cannot be right is not believed.
	assert.NilError(t, os.WriteFile(filepath.Join(c.dir, sizeNote), []byte("0 0\n"), 0o600))
	for n := range 20 {
		put(c, 100+n)
	}
	c.Trim()
	if total := c.count(); total > limit {
		t.Errorf("after a wrong note the cache holds %d bytes", total)
	}
}
