package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
)

// readsWrong are expressions that sounded translated, coy or unclear to new users, and were replaced. None of them comes back.
var readsWrong = regexp.MustCompile(`(?i)` + strings.Join([]string{
	"wrong usage", "not used as it can be", "the computer stood in the way", "does not let us", "shows what can be typed", "a warning that is meant to be",
	"pieces of advice", "the least that makes", "caches of your own", "PIN of the trainer's", "a copy of a class's data back", "sound backup",
	"somebody in charge has to look", "kept 9 times in 10", "saved by the last one", "next is shut", "give the machine back to work", `"Good when:`,
	"may stay empty", "go for good", "pull at it: it holds", "no learning system answers", "too hopeful or too careful", "waits for its repair",
	"der Computer stand im Weg", "Rechner stand im Weg", "lässt uns nicht", "gut, wenn:", "darf leer bleiben", "wartet auf seine Reparatur",
}, "|"))

func TestNothingReadsWrongAgain(t *testing.T) {
	var man, help bytes.Buffer
	assert.Equal(t, run(t.Context(), []string{"man"}, &console{out: &man, err: &man}), exitFine)
	assert.Equal(t, run(t.Context(), []string{"--help"}, &console{out: &help, err: &help}), exitFine)
	texts := map[string]string{"the manual page": man.String(), "the help": help.String()}
	for _, pattern := range []string{"README.md", "themes/words/*.yaml", "procedure/say/*.json", "cmd/matchmark/*.json", "compile/reference/guide/*.md", "compile/reference/guide/de/*.md"} {
		names, err := filepath.Glob(filepath.Join("..", "..", filepath.FromSlash(pattern)))
		assert.Assert(t, err == nil && len(names) > 0, pattern)
		for _, name := range names {
			content, err := os.ReadFile(name)
			assert.NilError(t, err)
			texts[name] = string(content)
		}
	}
	for name, words := range texts {
		assert.Assert(t, len(words) > 200, "%s is hardly there", name)
		for _, found := range readsWrong.FindAllString(words, -1) {
			t.Errorf("%s says %q", name, found)
		}
	}
}
