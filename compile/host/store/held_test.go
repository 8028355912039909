package store

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"gotest.tools/v3/assert"

	"matchmark/procedure/held"
	"matchmark/procedure/held/heldtest"
)

// A restore whose files somebody holds waits, and when that lasts the class has what it had.
func TestRestoreOfAHeldDatabase(t *testing.T) {
	for _, name := range []string{"/" + fileName, "/" + fileName + "-wal", "/" + fileName + ".new"} {
		t.Run(filepath.Base(name), func(t *testing.T) {
			dir, _ := backedUp(t)
			log := filepath.Join(dir, fileName+"-wal")
			if _, err := os.Stat(log); err != nil { // closing took it away
				assert.NilError(t, os.WriteFile(log, nil, 0o600))
			}
			before, err := os.ReadFile(filepath.Join(dir, fileName))
			assert.NilError(t, err)
			heldtest.Hold(t, name, heldtest.Ever)
			_, _, err = Restore(t.Context(), dir, "", time.Now())
			heldtest.Release()
			assert.Assert(t, held.InUse(err), "%v", err)
			after, err := os.ReadFile(filepath.Join(dir, fileName))
			assert.NilError(t, err)
			assert.Assert(t, string(after) == string(before))
			_, err = os.Stat(log)
			assert.NilError(t, err)
			left, err := filepath.Glob(filepath.Join(dir, "before-*"))
			assert.Assert(t, err == nil && len(left) == 0, "%v", left)

			heldtest.Hold(t, name, 2)
			_, old, err := Restore(t.Context(), dir, "", time.Now())
			assert.Assert(t, err == nil && old != "", "%v", err)
			closeIt(t, open(t, dir, Options{}))
		})
	}
}

// A backup that is held while it should go is an error that says so; the new backup is there.
func TestHeldOldBackup(t *testing.T) {
	dir, old := backedUp(t)
	heldtest.Hold(t, "/"+filepath.Base(old), heldtest.Ever)
	made, err := Backup(t.Context(), dir, 1, time.Now())
	assert.Assert(t, held.InUse(err), "%v", err)
	assert.NilError(t, sound(t.Context(), made))
	heldtest.Hold(t, "/"+filepath.Base(old), 2)
	_, err = Backup(t.Context(), dir, 1, time.Now())
	assert.NilError(t, err)
	all, err := Backups(dir)
	assert.Assert(t, err == nil && len(all) == 1, "%v", all)
}

// Closing and opening a class whose files are held for a while loses nothing; for ever, opening says so.
func TestClassOfHeldFiles(t *testing.T) {
	dir, _ := backedUp(t)
	heldtest.Hold(t, "/"+stoppedFile, 2)
	closeIt(t, open(t, dir, Options{}))
	heldtest.Hold(t, "/"+stoppedFile, heldtest.Ever)
	_, err := Open(t.Context(), dir, Options{})
	heldtest.Release()
	assert.Assert(t, held.InUse(err), "%v", err)
	s := open(t, dir, Options{})
	defer closeIt(t, s)
	jobs, err := s.Jobs(t.Context(), 0)
	assert.Assert(t, err == nil && len(jobs) == 1, "%v %v", jobs, err)
}
