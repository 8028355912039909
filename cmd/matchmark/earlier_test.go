package main

import (
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"gotest.tools/v3/assert"
	"gotest.tools/v3/assert/cmp"
)

// What earlier versions made is read: the library compiles into the site that the old program has left, with its cache; records and results are counted
// whole. Renewed, the library says the same.
func TestWhatEarlierVersionsMade(t *testing.T) {
	versions, err := filepath.Glob("testdata/earlier/*/library")
	assert.NilError(t, err)
	assert.Assert(t, len(versions) > 0)
	for _, library := range versions {
		version := filepath.Dir(library)
		t.Run(filepath.Base(version), func(t *testing.T) { readEarlier(t, version) })
	}
}

func readEarlier(t *testing.T, version string) {
	dir := t.TempDir()
	assert.NilError(t, os.CopyFS(dir, os.DirFS(version)))
	t.Chdir(dir)
	t.Setenv("XDG_CACHE_HOME", filepath.Join(dir, "cache"))
	fine := func(wants string, args ...string) {
		t.Helper()
		said, code := runTyped(t, args)
		assert.Equal(t, code, exitFine, said)
		assert.Check(t, cmp.Regexp(wants, said))
	}

	fine(`(?m)^Wrote 1 procedure`, "compile", "library", "-o", "site")

	fine(`2 findings, 1 repair open`, "workorder", "records/job.json", "-l", "library", "-o", "order")
	order, err := os.ReadFile("order/index.html")
	assert.NilError(t, err)
	for _, word := range []string{"Flanks shine", "Belt changed", "9.2", "Ada Berg"} {
		assert.Check(t, regexp.MustCompile(regexp.QuoteMeta(word)).Match(order), word)
	}
	assert.Check(t, !regexp.MustCompile("Entries without a place").Match(order))
	fine(`(?m)^ +open-head +3/5/8 .* 1 +1 +4`, "revise", "library", "records/job.json")
	fine(`(?m)^ +Ada Berg +5 of 5.*\n +Ben Holm +4 of 5`, "mark", "library", "results/ada.json", "results/ben.json")

	before, _ := runTyped(t, []string{"plan", "library", "--session", "1h", "--json"})
	fine(`today's form`, "renew", "library")
	after, _ := runTyped(t, []string{"plan", "library", "--session", "1h", "--json"})
	assert.Equal(t, before, after)
}
