package output

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gotest.tools/v3/assert"
)

func TestCheckPath(t *testing.T) {
	for name, good := range map[string]bool{
		"index.html": true, "procedure/x/index.html": true, "assets/a-b_c.1.js": true,
		"": false, ".": false, "..": false, "../x": false, "a/../b": false, "/etc/passwd": false, "a//b": false, "a/": false,
		`a\b`: false, "c:x": false, "a\x00b": false, "a\nb": false, ".hidden": false, "a/.git/x": false,
	} {
		if err := CheckPath(name); (err == nil) != good {
			t.Errorf("CheckPath(%q) = %v", name, err)
		}
	}
}

func TestSinksTakeAPathOnce(t *testing.T) {
	build := mustBegin(t, filepath.Join(t.TempDir(), "site"))
	defer build.Abort()
	for _, sink := range []Sink{&Memory{}, build} {
		if err := sink.Write("a/b.html", []byte("1")); err != nil {
			t.Errorf("%T: first write: %v", sink, err)
		}
		if err := sink.Write("a/b.html", []byte("1")); err == nil {
			t.Errorf("%T: no error for a path written twice", sink)
		}
		if err := sink.Write("../b.html", []byte("1")); err == nil {
			t.Errorf("%T: no error for a path that climbs out", sink)
		}
	}
	if err := build.Write("A/B.html", nil); err == nil {
		t.Error("no error for two paths that differ in case alone")
	}
}

type swap struct {
	name     string
	exchange func(a, b string) error
}

// swaps are the two ways to swap a site in.
var swaps = []swap{
	{"exchange", exchange},
	{"renames", func(a, b string) error { return errors.ErrUnsupported }},
}

func TestCommitReplacesWhole(t *testing.T) {
	for _, way := range swaps {
		t.Run(way.name, func(t *testing.T) {
			parent := t.TempDir()
			dir := filepath.Join(parent, "deep", "site")
			compile := func(files map[string]string) {
				t.Helper()
				build, err := begin(dir, way.exchange)
				assert.NilError(t, err)
				write(t, build, files)
				assert.NilError(t, build.Commit())
			}
			compile(map[string]string{"index.html": "one", "old/gone.html": "x", "same.html": "same"})
			long := time.Date(2001, 2, 3, 4, 5, 6, 0, time.UTC)
			for _, name := range []string{"index.html", "same.html", Marker} {
				assert.NilError(t, os.Chtimes(filepath.Join(dir, name), long, long))
			}
			compile(map[string]string{"index.html": "two", "old/new.html": "y", "same.html": "same"})

			want := map[string]string{
				"index.html": "two", "old/new.html": "y", "same.html": "same",
				Marker: markerHead + "index.html\nold/new.html\nsame.html\n",
			}
			if got := read(t, dir); fmt.Sprint(got) != fmt.Sprint(want) {
				t.Errorf("site holds %v, want %v", got, want)
			}
			if at := changed(t, dir, "same.html"); !at.Equal(long) {
				t.Errorf("an unchanged file has a new time: %v", at)
			}
			if at := changed(t, dir, "index.html"); at.Equal(long) {
				t.Error("a changed file kept its old time")
			}
			if left := names(t, filepath.Dir(dir)); len(left) != 1 {
				t.Errorf("left beside the site: %v", left)
			}
		})
	}
}

func TestAbortLeavesTheOldSite(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "site")
	build := mustBegin(t, dir)
	write(t, build, map[string]string{"index.html": "one"})
	assert.NilError(t, build.Commit())
	build = mustBegin(t, dir)
	write(t, build, map[string]string{"index.html": "two"})
	build.Abort()
	build.Abort() // a deferred second Abort does no harm
	if got := read(t, dir)["index.html"]; got != "one" {
		t.Errorf("after Abort the site holds %q", got)
	}
	if left := names(t, filepath.Dir(dir)); len(left) != 1 {
		t.Errorf("left beside the site: %v", left)
	}
}

func TestHalfDoneSwapIsMended(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "site")
	build := mustBegin(t, dir)
	write(t, build, map[string]string{"index.html": "one"})
	assert.NilError(t, build.Commit())
	// As a process leaves it that dies between the two renames.
	assert.NilError(t, os.MkdirAll(build.fresh(), 0o777))
	assert.NilError(t, os.Rename(dir, build.old()))
	mustBegin(t, dir).Abort()
	if got := read(t, dir)["index.html"]; got != "one" {
		t.Errorf("the old site was not put back: %q", got)
	}
	if left := names(t, filepath.Dir(dir)); len(left) != 1 {
		t.Errorf("left beside the site: %v", left)
	}
}

func TestFailedSwapPutsTheOldSiteBack(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "site")
	build := mustBegin(t, dir)
	write(t, build, map[string]string{"index.html": "one"})
	assert.NilError(t, build.Commit())
	build, err := begin(dir, func(a, b string) error {
		os.RemoveAll(a) // now the second rename must fail
		return errors.ErrUnsupported
	})
	assert.NilError(t, err)
	err = build.Commit()
	wantKind(t, err, CannotWrite)
	if got := read(t, dir)["index.html"]; got != "one" {
		t.Errorf("after a failed swap the site holds %q", got)
	}
}

func TestTwoCompilesDoNotMix(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "site")
	first := mustBegin(t, dir)
	_, err := Begin(dir)
	wantKind(t, err, Busy)
	write(t, first, map[string]string{"index.html": "first"})
	assert.NilError(t, first.Commit())
	mustBegin(t, dir).Abort()
}

func TestFolderThatCannotBeWritten(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	assert.NilError(t, os.WriteFile(file, nil, 0o666))
	for name, dir := range map[string]string{
		"a file":        file,
		"below a file":  filepath.Join(file, "site"),
		"name too long": filepath.Join(filepath.Dir(file), strings.Repeat("x", 300)),
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Begin(dir)
			wantKind(t, err, CannotWrite)
			if strings.Contains(err.Error(), ".matchmark") {
				t.Errorf("error %q names a file of our own", err)
			}
		})
	}
}

func TestLinkToTheFolderStays(t *testing.T) {
	parent := t.TempDir()
	real, link := filepath.Join(parent, "real"), filepath.Join(parent, "link")
	lay(t, real, nil)
	assert.NilError(t, os.Symlink(real, link))
	build := mustBegin(t, link)
	write(t, build, map[string]string{"index.html": "x"})
	assert.NilError(t, build.Commit())
	if got := read(t, real)["index.html"]; got != "x" {
		t.Errorf("the folder behind the link holds %q", got)
	}
	if at, err := os.Readlink(link); err != nil || at != real {
		t.Errorf("the link is now %q, %v", at, err)
	}
}
