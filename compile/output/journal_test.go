package output

import (
	"crypto/sha256"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
)

// update stages files and removals in a site.
func update(t *testing.T, dir string, files map[string]string, removes ...string) *Update {
	t.Helper()
	u, err := BeginUpdate(dir)
	assert.NilError(t, err)
	for name, content := range files {
		assert.NilError(t, u.Put(name, []byte(content), sha256.Sum256([]byte(content))))
	}
	for _, name := range removes {
		u.Remove(name)
	}
	if len(removes) > 0 {
		assert.NilError(t, u.List(slices.Sorted(maps.Keys(secondSite))))
	}
	return u
}

// firstSite writes a site of three files.
func firstSite(t *testing.T) (dir string) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "site")
	build := mustBegin(t, dir)
	write(t, build, map[string]string{"index.html": "one", "page/a.html": "one", "old/b.html": "one"})
	assert.NilError(t, build.Commit())
	return dir
}

var (
	secondSite  = map[string]string{"index.html": "two", "page/a.html": "one", "new/c.html": "two"}
	secondFiles = map[string]string{"index.html": "two", "new/c.html": "two"}
)

// wantSite compares a site's files, but for the marker.
func wantSite(t *testing.T, dir string, want map[string]string) {
	t.Helper()
	got := read(t, dir)
	delete(got, Marker)
	if len(got) != len(want) {
		t.Errorf("the site holds %v", got)
	}
	for name, content := range want {
		if got[name] != content {
			t.Errorf("%s holds %q, want %q", name, got[name], content)
		}
	}
	if left := names(t, filepath.Dir(dir)); len(left) != 1 {
		t.Errorf("left beside the site: %v", left)
	}
}

func TestUpdateInPlace(t *testing.T) {
	dir := firstSite(t)
	held := false
	u := update(t, dir, secondFiles, "old/b.html")
	assert.NilError(t, u.Commit(func(move func() error) error { held = true; return move() }))
	if !held {
		t.Error("readers were not held off")
	}
	wantSite(t, dir, secondSite)
	if _, err := os.Stat(filepath.Join(dir, "old")); err == nil {
		t.Error("a folder without files stayed")
	}
}

func TestAbortedUpdate(t *testing.T) {
	dir := firstSite(t)
	before := read(t, dir)
	update(t, dir, secondFiles, "old/b.html").Abort()
	delete(before, Marker)
	wantSite(t, dir, before)
}

// TestInterruptedUpdate ends an update after each of its moves, as a killed
// process does. The next compile, or update, finishes it.
func TestInterruptedUpdate(t *testing.T) {
	for moves := range 5 {
		for _, next := range []string{"compile", "update"} {
			t.Run(fmt.Sprintf("%d moves, then %s", moves, next), func(t *testing.T) {
				dir := firstSite(t)
				u := update(t, dir, secondFiles, "old/b.html")
				assert.NilError(t, u.writeJournal())
				for i, p := range u.puts {
					if i < moves {
						assert.NilError(t, u.site.putIn(p))
					}
				}
				if moves > len(u.puts) {
					assert.NilError(t, u.site.takeOut("old/b.html"))
				}
				u.site.lock.Close() // as the system does for a process that dies
				if next == "compile" {
					mustBegin(t, dir).Abort()
				} else {
					update(t, dir, nil).Abort()
				}
				wantSite(t, dir, secondSite)
			})
		}
	}
}

// TestJournalCutShort leaves a journal that was not written to its end: nothing has moved yet, and nothing does.
func TestJournalCutShort(t *testing.T) {
	dir := firstSite(t)
	before := read(t, dir)
	delete(before, Marker)
	u := update(t, dir, secondFiles, "old/b.html")
	assert.NilError(t, u.writeJournal())
	whole, err := os.ReadFile(u.site.journal())
	assert.NilError(t, err)
	u.site.lock.Close()
	for cut := range whole {
		if _, _, good := readJournal(whole[:cut]); good {
			t.Errorf("a journal cut after %d bytes is taken as whole", cut)
		}
	}
	assert.NilError(t, os.WriteFile(u.site.journal(), whole[:len(whole)-1], 0o666))
	mustBegin(t, dir).Abort()
	wantSite(t, dir, before)
}

// TestStagedFileLost empties a staged file, as a power cut may: the old file stays.
func TestStagedFileLost(t *testing.T) {
	dir := firstSite(t)
	u := update(t, dir, map[string]string{"index.html": "two"})
	assert.NilError(t, u.writeJournal())
	assert.NilError(t, os.WriteFile(u.site.staged(0), nil, 0o666))
	u.site.lock.Close()
	mustBegin(t, dir).Abort()
	if got := read(t, dir)["index.html"]; got != "one" {
		t.Errorf("index.html holds %q", got)
	}
}

func TestNamesInAJournal(t *testing.T) {
	u := &Update{site: &Build{work: t.TempDir()}}
	u.puts = []put{{0, strings.Repeat("0", 64), "a b/end of it.html"}, {1, strings.Repeat("1", 64), "end "}}
	u.removes = []string{"end 12", "c.html"}
	assert.NilError(t, u.writeJournal())
	content, err := os.ReadFile(u.site.journal())
	assert.NilError(t, err)
	puts, removes, whole := readJournal(content)
	if !whole || len(puts) != 2 || puts[0] != u.puts[0] || puts[1] != u.puts[1] || len(removes) != 2 || removes[0] != "end 12" {
		t.Errorf("read %v %v %v", puts, removes, whole)
	}
}
