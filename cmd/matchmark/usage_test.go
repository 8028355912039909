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

// theirWords are what the parser says to programmers.
var theirWords = regexp.MustCompile(`EOL|\bexpected|token|flag|argument|\bbool\b|\bint\b|\(string\)|<|must be one of|envar|float`)

// Whatever is typed wrong, nothing that is said about it comes from the parser's library.
func TestUsageIsSaidInOurWords(t *testing.T) {
	helped := false
	parser, err := newParser(&commands{}, &console{out: &bytes.Buffer{}, err: &bytes.Buffer{}}, &helped)
	assert.NilError(t, err)
	parse := func(args ...string) error {
		helped = false
		if _, err := parser.Parse(args); err != nil && !helped {
			return wrongUsage(err, nil)
		}
		return nil
	}
	said := 0
	try := func(args ...string) {
		if err := parse(args...); err != nil {
			said++
			if theirWords.MatchString(strings.ReplaceAll(err.Error(), "no-flag", "")) {
				t.Errorf("%q: %s", args, err)
			}
		}
	}
	try("--quiet")
	try("frobnicate")
	try("--no-flag")
	for _, c := range parser.Model.Children {
		try(c.Name)
		try(c.Name, "a", "b", "c")
		try(c.Name, "--no-flag")
		for _, f := range c.Flags {
			for _, value := range []string{"", "=", "=word", "=-3", "=1e999", " ", "--"} {
				if value == " " {
					try(c.Name, "--"+f.Name, "-5")
					continue
				}
				try(c.Name, "--"+f.Name+value)
			}
		}
	}
	if said < 300 {
		t.Errorf("only %d of the lines were wrong", said)
	}
}

// The command line counts first, then the environment, then the file; what nothing has is refused with its name.
func TestSettings(t *testing.T) {
	file := filepath.Join(t.TempDir(), "settings.yaml")
	for _, c := range []struct {
		file     string
		variable string
		args     []string
		want     string // the format that check takes, or what is said
	}{
		{"", "", nil, "text"},
		{"check: {format: json}", "", nil, "json"},
		{"check: {format: json}", "sarif", nil, "sarif"},
		{"check: {format: json}", "sarif", []string{"--format", "text"}, "text"},
		{"plan: {format: json}", "", nil, "text"},
		{"check: {format: xml}", "", nil, `settings in FILE: --format: "xml" is not possible; write text, json or sarif`},
		{"", "xml", nil, `variable MATCHMARK_CHECK_FORMAT: --format: "xml" is not possible; write text, json or sarif`},
		{"check: {format: xml}", "", []string{"--format", "yaml"}, `--format: "yaml" is not possible; write text, json or sarif`},
		{"check: {all: maybe}", "", nil, `settings in FILE: --all: "maybe" is neither true nor false`},
		{"chekc: {format: json}", "", nil, `settings in FILE: there is no command "chekc"; did you mean "check"?`},
		{"check: {fromat: json}", "", nil, `settings in FILE: check has no option "fromat"; did you mean "format"?`},
		{"colour: never", "", nil, `settings in FILE: matchmark has no option "colour"; did you mean "color"?`},
		{"check: {help: true}", "", nil, `settings in FILE: check has no option "help"`},
	} {
		assert.NilError(t, os.WriteFile(file, []byte(c.file), 0o666))
		t.Setenv(settingsVariable, file)
		t.Setenv("MATCHMARK_CHECK_FORMAT", c.variable)
		grammar, helped := &commands{}, false
		parser, err := newParser(grammar, &console{}, &helped)
		assert.NilError(t, err)
		got := ""
		if _, err := parser.Parse(append([]string{"check"}, c.args...)); err != nil {
			got = strings.ReplaceAll(wrongUsage(err, grammar.settings).Error(), file, "FILE")
		} else {
			got = grammar.Check.Format
		}
		assert.Equal(t, got, c.want, "%+v", c)
	}
	t.Setenv(settingsVariable, filepath.Join(t.TempDir(), "none.yaml"))
	_, err := newParser(&commands{}, &console{}, new(bool))
	assert.ErrorContains(t, err, "there is no file")
	assert.NilError(t, os.WriteFile(file, []byte("check: [format"), 0o666))
	t.Setenv(settingsVariable, file)
	_, err = newParser(&commands{}, &console{}, new(bool))
	assert.ErrorContains(t, err, "settings in "+file)
}
