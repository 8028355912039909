package rewrite

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure/held"
	"matchmark/procedure/held/heldtest"
	"matchmark/procedure/text"
)

// An author's file that a scanner holds is waited for; when that lasts, the error says which it is and how many are written, each file
// is whole, and nothing lies beside it.
func TestReplaceOfAHeldFile(t *testing.T) {
	dir := t.TempDir()
	root, err := os.OpenRoot(dir)
	assert.NilError(t, err)
	defer root.Close()
	var files []File
	for _, name := range []string{"a.md", "b.md"} {
		assert.NilError(t, os.WriteFile(filepath.Join(dir, name), []byte("old"), 0o600))
		files = append(files, File{Old: text.NewFile(name, []byte("old")), Source: []byte("new")})
	}
	holds := func(name, want string) {
		t.Helper()
		got, err := os.ReadFile(filepath.Join(dir, name))
		assert.NilError(t, err)
		assert.Equal(t, string(got), want)
	}
	heldtest.Hold(t, "b.md", heldtest.Ever)
	var cannot *WriteError
	assert.Assert(t, errors.As(Replace(root, files), &cannot) && held.InUse(cannot) && cannot.File == "b.md" && cannot.Replaced == 1, "%v", cannot)
	holds("a.md", "new")
	holds("b.md", "old")
	left, err := os.ReadDir(dir)
	assert.Assert(t, err == nil && len(left) == 2, "%v", left)

	heldtest.Hold(t, "b.md", 3)
	assert.NilError(t, Replace(root, files[1:]))
	holds("b.md", "new")
}
