package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/reference/guide"
)

// A settings file that cannot be read is said in plain words with its place, and none of the YAML library's.
func TestBrokenSettings(t *testing.T) {
	file := filepath.Join(t.TempDir(), "settings.yaml")
	t.Setenv("MATCHMARK_SETTINGS", file)
	for content, want := range map[string]string{
		"quiet: a: b\n":                  "1:8: a colon stands where there cannot be one",
		"check:\n\tformat: json\n":       "2:1: a tab stands where only spaces can",
		"quiet: [1,2\n":                  "1:8: this bracket is not closed",
		"quiet: {a\n":                    "1:9: a brace is not closed before this place",
		"quiet: \"x\n":                   "1:8: this quotation mark is not closed",
		"quiet: true\nquiet: false\n":    "2:1: this line stands twice",
		"quiet: *x\n":                    "1:9: a value cannot begin with this sign",
		"quiet: @x\n":                    "1:8: a value cannot begin with this sign",
		"quiet: \"\\q\"\n":               "1:10: this backslash has no meaning",
		"hello\n":                        "1:1: lines of `name: value` are wanted here",
		"- a\n":                          "1:1: lines of `name: value` are wanted here",
		"check:\n  a: b\n quiet: true\n": "3:2: this cannot be read as YAML",
	} {
		assert.NilError(t, os.WriteFile(file, []byte(content), 0o666))
		got := said(t, "schema", "check")
		if !strings.HasPrefix(got, "matchmark: settings in "+file+":"+want+"\n  do: ") {
			t.Errorf("%q: %s\nwant %s", content, got, want)
		}
	}
}

// German addresses nobody in messages and help, whose advice is in the infinitive; pages and the guide may say Sie, and nothing says du.
func TestOneFormOfGerman(t *testing.T) {
	formal := regexp.MustCompile(`\p{L}[en]n Sie\b|\b(?:wenn|dass|ob|was|können|müssen) Sie\b|\bIhnen\b`)
	familiar := regexp.MustCompile(`(?i)(?:^|[ "„(])(?:du|dich|dein(?:e[mnrs]?)?)(?:[ ,.:;!?"“)]|$)`)
	for _, file := range []string{"help.de.json", "../../procedure/say/de.json"} {
		content, err := os.ReadFile(file)
		assert.NilError(t, err)
		var lines map[string]string
		assert.NilError(t, json.Unmarshal(content, &lines))
		for _, line := range lines {
			if formal.MatchString(line) || familiar.MatchString(line) {
				t.Errorf("%s addresses the reader: %q; use the infinitive", file, line)
			}
		}
	}
	words, err := os.ReadFile("../../themes/words/de.yaml")
	assert.NilError(t, err)
	pages := map[string]string{"words of the pages": string(words)}
	for _, topic := range guide.Topics() {
		if content, in, _ := guide.Page(topic, "de"); in == "de" {
			pages[topic] = content
		}
	}
	for name, content := range pages {
		for line := range strings.Lines(content) {
			if familiar.MatchString(strings.TrimSpace(line)) {
				t.Errorf("%s says du: %q", name, line)
			}
		}
	}
}
