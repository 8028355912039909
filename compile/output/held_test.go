package output

import (
	"crypto/sha256"
	"errors"
	"path/filepath"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure/held"
	"matchmark/procedure/held/heldtest"
)

// Windows does not let a folder be renamed while somebody has a file in it open. A compile waits for that; when it lasts, the old site
// stands, and what to do about it is said.
func TestSwapOfAHeldSite(t *testing.T) {
	noExchange := func(a, b string) error { return errors.ErrUnsupported } // Windows has none
	for name, c := range map[string]struct {
		tries int64
		want  string
	}{"for a while": {3, "two"}, "for ever": {heldtest.Ever, "one"}} {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "site")
			build := mustBegin(t, dir)
			write(t, build, map[string]string{"index.html": "one"})
			assert.NilError(t, build.Commit())
			build, err := begin(dir, noExchange)
			assert.NilError(t, err)
			write(t, build, map[string]string{"index.html": "two"})
			met := heldtest.Hold(t, "/site", c.tries)
			err = build.Commit()
			heldtest.Release()
			assert.Equal(t, err == nil, c.want == "two", "%v", err)
			if err != nil {
				assert.Assert(t, held.InUse(err) && strings.Contains(err.Error(), "close what has a file in there open"), "%v", err)
			}
			assert.Assert(t, met.Load() > 3)
			wantSite(t, dir, map[string]string{"index.html": c.want})
		})
	}
}

// The second rename of a swap may fail as well as the first: the old site is put back.
func TestHeldNewSite(t *testing.T) {
	dir := firstSite(t)
	before := read(t, dir)
	build, err := begin(dir, func(a, b string) error { return errors.ErrUnsupported })
	assert.NilError(t, err)
	write(t, build, map[string]string{"index.html": "two"})
	heldtest.Hold(t, "/new", heldtest.Ever)
	err = build.Commit()
	heldtest.Release()
	assert.Assert(t, held.InUse(err), "%v", err)
	assert.DeepEqual(t, read(t, dir), before)
	mustBegin(t, dir).Abort() // takes away what could not be
	delete(before, Marker)
	wantSite(t, dir, before)
}

// An update of a site whose file is held says so, and the next one completes it.
func TestUpdateOfAHeldFile(t *testing.T) {
	for _, name := range []string{"/index.html", "/old/b.html", "/journal"} {
		t.Run(strings.TrimPrefix(name, "/"), func(t *testing.T) {
			dir := firstSite(t)
			heldtest.Hold(t, name, 3)
			assert.NilError(t, update(t, dir, secondFiles, "old/b.html").Commit(nil))
			wantSite(t, dir, secondSite)

			dir = firstSite(t)
			before := read(t, dir)
			u := update(t, dir, secondFiles, "old/b.html")
			heldtest.Hold(t, name, heldtest.Ever)
			err := u.Commit(nil)
			heldtest.Release()
			wantKind(t, err, CannotWrite)
			assert.Assert(t, held.InUse(err), "%v", err)
			mustBegin(t, dir).Abort()
			if name == "/journal" { // it was never written: nothing has begun
				delete(before, Marker)
				wantSite(t, dir, before)
				return
			}
			wantSite(t, dir, secondSite)
		})
	}
}

// What a killed compile left may be held too: the next one waits, or says so and leaves the site as it is.
func TestHeldLeftovers(t *testing.T) {
	dir := firstSite(t)
	heldtest.Hold(t, "/old", 2)
	mustBegin(t, dir).Abort()
	heldtest.Hold(t, "/old", heldtest.Ever)
	_, err := Begin(dir)
	heldtest.Release()
	wantKind(t, err, CannotWrite)
	assert.Equal(t, read(t, dir)["index.html"], "one")
	mustBegin(t, dir).Abort()
}

// A file in place keeps its sum when a staged one is held.
func TestHeldStagedFile(t *testing.T) {
	dir := firstSite(t)
	u, err := BeginUpdate(dir)
	assert.NilError(t, err)
	assert.NilError(t, u.Put("index.html", []byte("two"), sha256.Sum256([]byte("two"))))
	heldtest.Hold(t, "/next/0", heldtest.Ever)
	assert.Assert(t, held.InUse(u.Commit(nil)))
	heldtest.Release()
	assert.Equal(t, read(t, dir)["index.html"], "one")
	mustBegin(t, dir).Abort()
	assert.Equal(t, read(t, dir)["index.html"], "two")
}
