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

var errHeld = errors.New("held by a scanner")

func isHeld(err error) bool { return errors.Is(err, errHeld) }

// What passes is done again until it is done; anything else is an error at once; and there is an end to patience.
func TestAgain(t *testing.T) {
	other := errors.New("no room")
	for name, c := range map[string]struct {
		says []error // one for each time; the last one stays
		want error
		runs int
	}{
		"at once":         {[]error{nil}, nil, 1},
		"held for a time": {[]error{errHeld, errHeld, errHeld, nil}, nil, 4},
		"another error":   {[]error{other}, other, 1},
		"then another":    {[]error{errHeld, other}, other, 2},
	} {
		t.Run(name, func(t *testing.T) {
			runs := 0
			err := again(func() error {
				runs++
				return c.says[min(runs, len(c.says))-1]
			}, isHeld)
			assert.Assert(t, errors.Is(err, c.want) && runs == c.runs, "%v after %d", err, runs)
		})
	}
	t.Run("for ever", func(t *testing.T) {
		t.Parallel()
		began, runs := time.Now(), 0
		err := again(func() error { runs++; return errHeld }, isHeld)
		assert.ErrorIs(t, err, errHeld)
		assert.Assert(t, runs > 5 && time.Since(began) >= patience/2, "%d runs in %v", runs, time.Since(began))
	})
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
