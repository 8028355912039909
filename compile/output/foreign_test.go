package output

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
)

func TestForeignFilesAreKept(t *testing.T) {
	site := func(extra ...string) map[string]string {
		files := map[string]string{"index.html": "x", Marker: markerHead + "index.html\n"}
		for _, name := range extra {
			files[name] = "mine"
		}
		return files
	}
	for name, test := range map[string]struct {
		files  map[string]string
		speaks string // part of the problem; "" when the folder may be replaced
	}{
		"somebody's folder":        {map[string]string{"notes.txt": "mine"}, "not empty"},
		"a marker of another kind": {map[string]string{Marker: "mine", "a": "b"}, "not empty"},
		"empty":                    {map[string]string{}, ""},
		"our site":                 {site(), ""},
		"desktop droppings":        {site(".DS_Store", "sub/Thumbs.db"), ""},
		"a file added":             {site("notes.txt"), `"notes.txt"`},
		"a repository added":       {site(".git/config"), `".git/config"`},
	} {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "site")
			lay(t, dir, test.files)
			build, err := Begin(dir)
			if test.speaks == "" {
				assert.NilError(t, err)
				build.Abort()
				return
			}
			wantKind(t, err, NotOurs)
			if !strings.Contains(err.Error(), test.speaks) {
				t.Errorf("error %q does not speak of %s", err, test.speaks)
			}
			if got := read(t, dir); fmt.Sprint(got) != fmt.Sprint(test.files) {
				t.Errorf("the folder was changed to %v", got)
			}
			if left := names(t, filepath.Dir(dir)); len(left) != 1 {
				t.Errorf("left beside the folder: %v", left)
			}
		})
	}
}
