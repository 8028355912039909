//go:build browser

package browsertest

import (
	"bytes"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile"
	"matchmark/content"
	"matchmark/procedure/diagnostic"
)

const prettierPath = "../../.ci/node_modules/prettier/bin/prettier.cjs"

// sourceSums are the sums of source files and of quizzes that pages carry: they alone differ when a file is laid out anew.
var sourceSums = regexp.MustCompile(`"content":"[0-9a-f]{16}"|wording [0-9a-f]{12}|[0-9a-f]{12}`)

// A formatter for Markdown may be run over a library: no page changes.
func TestFormatterChangesNoPage(t *testing.T) {
	inTestAll(t)
	dir := t.TempDir()
	assert.NilError(t, os.CopyFS(dir, content.Library()))
	prettier, err := filepath.Abs(prettierPath)
	assert.NilError(t, err)
	run := exec.Command("node", prettier, "--write", ".")
	run.Dir = dir
	if out, err := run.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	formatted, plain := filepath.Join(t.TempDir(), "site"), filepath.Join(t.TempDir(), "site")
	for site, library := range map[string]fs.FS{formatted: os.DirFS(dir), plain: content.Library()} {
		var log diagnostic.Log
		if _, err := compile.Site(t.Context(), library, site, &log, compile.Options{}); err != nil {
			t.Fatalf("%v\n%v", err, log.Sorted())
		}
	}
	pages, err := filepath.Glob(filepath.Join(plain, "procedure", "*", "*.html"))
	if err != nil || len(pages) < 30 {
		t.Fatal(len(pages), err)
	}
	for _, page := range pages {
		name, err := filepath.Rel(plain, page)
		assert.NilError(t, err)
		want, errWant := os.ReadFile(page)
		got, errGot := os.ReadFile(filepath.Join(formatted, name))
		if errWant != nil || errGot != nil {
			t.Fatal(errWant, errGot)
		}
		if !bytes.Equal(sourceSums.ReplaceAll(got, nil), sourceSums.ReplaceAll(want, nil)) {
			t.Errorf("%s changes", name)
		}
	}
}
