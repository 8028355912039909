package preview

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"gotest.tools/v3/assert"
)

// longEnough is more than any change takes to be reported on a busy machine.
const longEnough = 20 * time.Second

func watchFolder(t *testing.T) (dir string, changes <-chan Change) {
	t.Helper()
	dir = t.TempDir()
	for _, folder := range []string{"machines", "site/page", ".git"} {
		assert.NilError(t, os.MkdirAll(filepath.Join(dir, filepath.FromSlash(folder)), 0o777))
	}
	changes, err := Changes(t.Context(), dir, filepath.Join(dir, "site"))
	assert.NilError(t, err)
	return dir, changes
}

func put(t *testing.T, dir, name, content string) {
	t.Helper()
	at := filepath.Join(dir, filepath.FromSlash(name))
	assert.NilError(t, os.MkdirAll(filepath.Dir(at), 0o777))
	assert.NilError(t, os.WriteFile(at, []byte(content), 0o666))
}

func wantChange(t *testing.T, changes <-chan Change, after string) (change Change) {
	t.Helper()
	select {
	case change, open := <-changes:
		if change.Err != nil || !open {
			t.Fatalf("after %s: error %v, open %v", after, change.Err, open)
		}
		return change
	case <-time.After(longEnough):
		t.Fatalf("no change after %s", after)
	}
	return Change{}
}

// TestChangesAreNamed wants the names of what changed, so that nothing else need be read.
func TestChangesAreNamed(t *testing.T) {
	dir, changes := watchFolder(t)
	wants := func(after string, want ...string) {
		t.Helper()
		got := wantChange(t, changes, after)
		for _, name := range want {
			if !got.All && !slices.Contains(got.Names, name) {
				t.Errorf("after %s: %q does not name %s", after, got.Names, name)
			}
		}
		if got.All || len(got.Names) > len(want) {
			t.Errorf("after %s: %q, all %v", after, got.Names, got.All)
		}
	}
	put(t, dir, "machines/oven.md", "one")
	wants("a save", "machines/oven.md")
	put(t, dir, "machines/oven.md", "two")
	put(t, dir, "library.yaml", "x")
	wants("two saves", "library.yaml", "machines/oven.md")
	assert.NilError(t, os.Rename(filepath.Join(dir, "machines", "oven.md"), filepath.Join(dir, "machines", "mixer.md")))
	wants("another name", "machines/mixer.md", "machines/oven.md")
	// What lies in a new folder may have come before the folder was watched: the folder stands for it.
	assert.NilError(t, os.MkdirAll(filepath.Join(dir, "jobs", "fan"), 0o777))
	if got := wantChange(t, changes, "a new folder"); !slices.Contains(got.Names, "jobs") {
		t.Errorf("after a new folder: %q", got.Names)
	}
	put(t, dir, "jobs/fan/out.md", "one")
	wants("a save in a new folder", "jobs/fan/out.md")
}

func TestChangesNobodyHasSeenAreJoined(t *testing.T) {
	got := Change{Names: []string{"a", "c"}}.and(Change{Names: []string{"b", "c"}, All: true})
	if !slices.Equal(got.Names, []string{"a", "b", "c"}) || !got.All || got.Err != nil {
		t.Errorf("joined: %+v", got)
	}
}

func TestChanges(t *testing.T) {
	dir, changes := watchFolder(t)
	put(t, dir, "machines/oven.md", "one")
	wantChange(t, changes, "a new file")
	put(t, dir, "machines/oven.md", "two")
	wantChange(t, changes, "a save")

	// Many programs write a new file and put it in the old one's place.
	put(t, dir, "machines/oven.md~", "three")
	assert.NilError(t, os.Rename(filepath.Join(dir, "machines", "oven.md~"), filepath.Join(dir, "machines", "oven.md")))
	wantChange(t, changes, "a save by renaming")

	put(t, dir, "procedures/oven/fan.md", "one")
	wantChange(t, changes, "a file in a new folder of a new folder")
	put(t, dir, "procedures/oven/fan.md", "two")
	wantChange(t, changes, "a save in a new folder")

	assert.NilError(t, os.RemoveAll(filepath.Join(dir, "procedures")))
	wantChange(t, changes, "a folder taken away")
}

func TestWhatIsNotAChange(t *testing.T) {
	dir, changes := watchFolder(t)
	for _, name := range []string{"site/index.html", "site/page/x.html", ".site.matchmark/new", ".git/index", ".oven.md.swp", "oven.md~", "#oven.md#"} {
		put(t, dir, name, "x")
	}
	assert.NilError(t, os.Chmod(filepath.Join(dir, "machines"), 0o700))
	select {
	case err := <-changes:
		t.Errorf("a change was reported (%v)", err)
	case <-time.After(4 * settle):
	}
	put(t, dir, "library.yaml", "x")
	wantChange(t, changes, "a save") // so the watch was at work
}

// A change is told when no save has come for a while: a busy machine may spread the saves, so that
// there are several, but each has its while.
func TestSavesCloseTogetherAreOneChange(t *testing.T) {
	dir, changes := watchFolder(t)
	began := time.Now()
	for range 20 {
		put(t, dir, "machines/oven.md", time.Now().String())
	}
	wantChange(t, changes, "twenty saves")
	told, last := 1, time.Now()
	for quiet := false; !quiet; {
		select {
		case <-changes:
			told, last = told+1, time.Now()
		case <-time.After(3 * settle):
			quiet = true
		}
	}
	if most := 1 + int(last.Sub(began)/settle); told > most {
		t.Errorf("twenty saves at once were %d changes within %v", told, last.Sub(began))
	}
}

func TestLibraryThatGoesAndComesBack(t *testing.T) {
	dir, changes := watchFolder(t)
	assert.NilError(t, os.Rename(dir, dir+".away"))
	wantChange(t, changes, "the library went away")
	assert.NilError(t, os.Rename(dir+".away", dir))
	wantChange(t, changes, "the library came back")
	put(t, dir, "machines/oven.md", "x")
	wantChange(t, changes, "a save in the library that came back")
}

func TestChangesOfNoFolder(t *testing.T) {
	if _, err := Changes(t.Context(), filepath.Join(t.TempDir(), "nowhere"), "site"); err == nil {
		t.Error("a folder that is not there was watched")
	}
}
