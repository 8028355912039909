package held

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"

	"gotest.tools/v3/assert"
)

// What passes is done again until it is done; anything else is an error at once; and there is an end to patience.
func TestAgain(t *testing.T) {
	other := errors.New("no room")
	for name, c := range map[string]struct {
		says []error // one for each time; the last one stays
		want error
		runs int
	}{
		"at once":         {[]error{nil}, nil, 1},
		"held for a time": {[]error{ErrInUse, ErrInUse, ErrInUse, nil}, nil, 4},
		"another error":   {[]error{other}, other, 1},
		"then another":    {[]error{ErrInUse, other}, other, 2},
	} {
		t.Run(name, func(t *testing.T) {
			runs := 0
			err := again(func() error {
				runs++
				return c.says[min(runs, len(c.says))-1]
			})
			assert.Assert(t, errors.Is(err, c.want) && runs == c.runs, "%v after %d", err, runs)
		})
	}
	t.Run("for ever", func(t *testing.T) {
		began, runs := time.Now(), 0
		err := again(func() error { runs++; return ErrInUse })
		assert.Assert(t, InUse(err), "%v", err)
		assert.Assert(t, runs > 5 && time.Since(began) >= patience/2, "%d runs in %v", runs, time.Since(began))
	})
}

// Each of the ways to touch a file waits for one that is held, and leaves everything as it was when nobody lets go.
func TestEachWayWaits(t *testing.T) {
	for name, touch := range map[string]func(dir string, root *os.Root) error{
		"rename": func(dir string, _ *os.Root) error {
			return Rename(filepath.Join(dir, "from"), filepath.Join(dir, "to"))
		},
		"remove":    func(dir string, _ *os.Root) error { return Remove(filepath.Join(dir, "to")) },
		"removeAll": func(dir string, _ *os.Root) error { return RemoveAll(filepath.Join(dir, "to")) },
		"write":     func(dir string, _ *os.Root) error { return WriteFile(filepath.Join(dir, "to"), []byte("new"), 0o600) },
		"renameIn":  func(_ string, root *os.Root) error { return RenameIn(root, "from", "to") },
		"removeIn":  func(_ string, root *os.Root) error { return RemoveIn(root, "to") },
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			assert.NilError(t, os.WriteFile(filepath.Join(dir, "from"), []byte("new"), 0o600))
			assert.NilError(t, os.WriteFile(filepath.Join(dir, "to"), []byte("old"), 0o600))
			root, err := os.OpenRoot(dir)
			assert.NilError(t, err)
			defer root.Close()
			defer Try(nil)
			left := -1
			Try(&Trial{Patience: 20 * time.Millisecond, Says: func(name string) error {
				if left == 0 || filepath.Base(name) != "to" {
					return nil
				}
				left--
				return ErrInUse
			}})
			assert.Assert(t, InUse(touch(dir, root)))
			content, err := os.ReadFile(filepath.Join(dir, "to"))
			assert.Assert(t, err == nil && string(content) == "old", "%s %v", content, err)
			left = 2
			assert.NilError(t, touch(dir, root))
			content, _ = os.ReadFile(filepath.Join(dir, "to"))
			assert.Assert(t, string(content) != "old")
		})
	}
}

// Where nobody holds anything it does what package os does.
func TestAsOS(t *testing.T) {
	dir := t.TempDir()
	from, to := filepath.Join(dir, "from"), filepath.Join(dir, "to")
	assert.NilError(t, os.WriteFile(from, []byte("new"), 0o600))
	assert.NilError(t, os.WriteFile(to, []byte("old"), 0o600))
	assert.NilError(t, Rename(from, to))
	content, err := os.ReadFile(to)
	assert.NilError(t, err)
	assert.Equal(t, string(content), "new")
	root, err := os.OpenRoot(dir)
	assert.NilError(t, err)
	defer root.Close()
	assert.NilError(t, RenameIn(root, "to", "there"))
	assert.NilError(t, Remove(filepath.Join(dir, "there")))
	assert.ErrorIs(t, Remove(to), fs.ErrNotExist)
	assert.ErrorIs(t, Rename(from, to), fs.ErrNotExist)
}
