package held

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"golang.org/x/sys/windows"
	"gotest.tools/v3/assert"
)

// open opens a file as a scanner does that lets nobody else at it.
func open(t *testing.T, name string) (release func()) {
	t.Helper()
	path, err := windows.UTF16PtrFromString(name)
	assert.NilError(t, err)
	handle, err := windows.CreateFile(path, windows.GENERIC_READ, 0, nil, windows.OPEN_EXISTING, 0, 0)
	assert.NilError(t, err)
	return func() { windows.CloseHandle(handle) }
}

// A file that a scanner holds is replaced when it lets go; one that it never lets go of is an error that says so.
func TestHeldByAScanner(t *testing.T) {
	dir, err := os.MkdirTemp("", "held") // wine cannot remove what t.TempDir makes
	assert.NilError(t, err)
	defer os.Remove(dir)
	from, to := filepath.Join(dir, "from"), filepath.Join(dir, "to")
	for _, name := range []string{from, to} {
		assert.NilError(t, os.WriteFile(name, []byte(filepath.Base(name)), 0o600))
	}
	release := open(t, to)
	err = os.Rename(from, to)
	assert.Assert(t, err != nil && passes(err), "the system says: %v", err)
	time.AfterFunc(patience/10, release)
	assert.NilError(t, Rename(from, to))

	release = open(t, to)
	err = Remove(to)
	release()
	os.Remove(to)
	assert.Assert(t, err != nil && InUse(err), "%v", err)
}
