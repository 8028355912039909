package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
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

// What was written down before a job went by what is found is read when it does today: the step has gained readings, a question, a wait and
// rounds, and a step that only some jobs have. Nothing of the record loses its place.
func TestEarlierRecordsOfAJobThatNowDecides(t *testing.T) {
	dir := t.TempDir()
	assert.NilError(t, os.CopyFS(dir, os.DirFS("testdata/earlier/28e9791")))
	t.Chdir(dir)
	t.Setenv("XDG_CACHE_HOME", filepath.Join(dir, "cache"))
	fine := func(wants string, args ...string) string {
		t.Helper()
		said, code := runTyped(t, args)
		assert.Equal(t, code, exitFine, said)
		assert.Check(t, cmp.Regexp(wants, said))
		return said
	}
	assert.NilError(t, os.CopyFS("before", os.DirFS("library")))
	fine(`today's form`, "renew", "library")
	const job = "library/procedures/drill-belt-off.md"
	src, err := os.ReadFile(job)
	assert.NilError(t, err)
	const look, again = "## Take the belt off and look at it {#belt-off}\n", "\n- Top width: 9.5 mm to 10 mm\n"
	text := string(src)
	assert.Assert(t, cmp.Contains(text, look))
	assert.Assert(t, cmp.Contains(text, again))
	text = strings.Replace(text, look, "# Set the belt\n{until=\"sag within\" most=3 rounds=1/1/2}\n\n"+look, 1)
	text += `
- [ ] connect belt

- [ ] read sag in mm: at most 5 mm {of=belt title="Sag of the belt"}

# Look again

## Look at the pulleys {#pulleys}
{time=2/3/5 needs=slack}

Look at both pulleys.

- [ ] decide grooved: Are the pulleys grooved? {chance=20}
- [ ] wait 5 min: the pulleys cool

## Clean the pulleys {#cleaned}
{time=2/3/5 needs=slack if=grooved}

Clean both pulleys.

- [ ] clean belt
`
	assert.NilError(t, os.WriteFile(job, []byte(text), 0o600))
	fine(`no error|suggestion|Nothing`, "check", "library")

	fine(`2 findings, 1 repair open`, "workorder", "records/job.json", "-l", "library", "-o", "order")
	order, err := os.ReadFile("order/index.html")
	assert.NilError(t, err)
	for _, word := range []string{"Flanks shine", "Belt changed", "9.2", "Ada Berg", "round 1"} {
		assert.Check(t, strings.Contains(string(order), word), word)
	}
	assert.Check(t, !strings.Contains(string(order), "Entries without a place"))
	assert.Check(t, !strings.Contains(string(order), "What was decided"))
	fine(`(?m)^ +open-head +3/5/8 .* 1 +1 +4`, "revise", "library", "records/job.json")

	// Results of tablets, and of paper as it was typed in then.
	fine(`(?m)^ +Ada Berg +5 of 5.*\n +Ben Holm +4 of 5`, "mark", "library", "results/ada.json", "results/ben.json")
	assert.NilError(t, os.WriteFile("paper.csv", []byte("drill-quiz,1,2,3,4\nCid,A,true,A,\"18,0 Nm\"\nDan,b,true,a,18\n"), 0o600))
	fine(`(?m)^ +Cid +5 of 5.*\n +Dan +`, "mark", "library", "paper.csv")
	fine(`(?m)^Wrote changed`, "compare", "before", "library", "-o", "changed.html")
	changed, err := os.ReadFile("changed.html")
	assert.NilError(t, err)
	for _, word := range []string{"First step of the rounds", "Repeat until", "Sag of the belt", "Clean the pulleys"} {
		assert.Check(t, strings.Contains(string(changed), word), word)
	}
}
