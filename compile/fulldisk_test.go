package compile

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/cache"
	"matchmark/compile/output"
	"matchmark/compile/smalldisk"
	"matchmark/procedure/diagnostic"
)

// TestFullDisk compiles a library that does not fit onto the disk: the old site stands, whole.
func TestFullDisk(t *testing.T) {
	site := filepath.Join(smalldisk.Mount(t, "6m"), "site")
	siteOf(t, corpus(1), site, nil)
	before := folder(t, site)
	var log diagnostic.Log
	_, err := Site(t.Context(), corpus(20), site, &log, Options{})
	var fault *output.Fault
	if !errors.As(err, &fault) || fault.Kind != output.CannotWrite || !errors.Is(err, syscall.ENOSPC) {
		t.Errorf("the compile says %v", err)
	}
	sameSite(t, folder(t, site), before)
	if left, err := os.ReadDir(filepath.Dir(site)); err != nil || len(left) != 1 {
		t.Errorf("left beside the site: %v, %v", left, err)
	}
}

// TestDiskThatFillsUp updates a site in place on a disk that another program fills: the site
// stays as it was, and once there is room the next update makes it good.
func TestDiskThatFillsUp(t *testing.T) {
	disk := smalldisk.Mount(t, "8m")
	site, library := filepath.Join(disk, "site"), t.TempDir()
	onDisk(t, library, corpus(1))
	builder := NewBuilder(os.DirFS(library), Options{})
	var log diagnostic.Log
	if _, err := builder.Update(t.Context(), site, Change{All: true}, &log); err != nil {
		t.Fatal(err)
	}
	before := folder(t, site)
	empty := smalldisk.Fill(t, disk)
	name := "procedures/procedure-00000.md"
	at := filepath.Join(library, name)
	src, err := os.ReadFile(at)
	assert.NilError(t, err)
	assert.NilError(t, os.WriteFile(at, bytes.ReplaceAll(src, []byte("at once"), []byte("now")), 0o666))
	_, err = builder.Update(t.Context(), site, Change{Names: []string{name}}, &log)
	if !errors.Is(err, syscall.ENOSPC) {
		t.Errorf("the update says %v", err)
	}
	sameSite(t, folder(t, site), before)
	empty()
	if _, err := builder.Update(t.Context(), site, Change{Names: []string{name}}, &log); err != nil {
		t.Fatal(err)
	}
	want, _, _ := inMemory(t, os.DirFS(library), nil)
	sameSite(t, folder(t, site), want)
}

// TestFullDiskUnderTheCache compiles with a cache that has no room: it costs time only.
func TestFullDiskUnderTheCache(t *testing.T) {
	kept := cache.Open(filepath.Join(smalldisk.Mount(t, "64k"), "cache"))
	want, _, _ := inMemory(t, corpus(2), nil)
	for range 2 {
		got, _, _ := inMemory(t, corpus(2), kept)
		sameSite(t, got, want)
	}
}
