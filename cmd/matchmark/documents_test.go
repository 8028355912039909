package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/reference/guide"
)

// block is a block of code in a document; blockLine a command line in one, and codeLine one inside a sentence.
var (
	block     = regexp.MustCompile("(?ms)^ *```.*?^ *```$")
	blockLine = regexp.MustCompile(`(?m)^ *(?:[A-Z_]+=\S+ )?(matchmark [^\n]+)$`)
	codeLine  = regexp.MustCompile("`(?:[A-Z_]+=\\S+ )?(matchmark [a-z][^`\n]*)`")
)

// typedLines are the command lines in a document.
func typedLines(content string) []string {
	var out []string
	for _, b := range block.FindAllString(content, -1) {
		for _, m := range blockLine.FindAllStringSubmatch(b, -1) {
			out = append(out, m[1])
		}
	}
	for _, m := range codeLine.FindAllStringSubmatch(block.ReplaceAllString(content, ""), -1) {
		out = append(out, m[1])
	}
	return out
}

// documents are what is written about the command, by name.
func documents(t *testing.T) map[string]string {
	out := map[string]string{}
	for _, topic := range guide.Topics() {
		out[topic], _, _ = guide.Page(topic, "en")
	}
	for _, name := range []string{"README.md", "SPREADSHEET.md", "compile/starter/library/README.md"} {
		content, err := os.ReadFile(filepath.Join("..", "..", name))
		assert.NilError(t, err)
		out[name] = string(content)
	}
	return out
}

// Every command line in the documents is one that is understood; the short ones that only read are carried out.
func TestCommandLinesOfTheDocuments(t *testing.T) {
	helped := false
	parser, err := newParser(&commands{}, &console{out: &bytes.Buffer{}, err: &bytes.Buffer{}}, &helped)
	assert.NilError(t, err)
	ran := map[string]bool{}
	lines := 0
	for name, content := range documents(t) {
		for _, line := range typedLines(content) {
			line, _, _ = strings.Cut(line, "  #")
			line, _, _ = strings.Cut(line, " > ")
			line, _, _ = strings.Cut(line, " | ")
			args := words(line)[1:]
			if strings.Contains(line, "CODE") || strings.Contains(line, "COMMAND") || len(args) == 0 {
				continue // says how, not what
			}
			lines++
			helped = false
			if _, err := parser.Parse(args); err != nil && !helped {
				t.Errorf("%s: %q: %v", name, line, wrongUsage(err, nil))
			}
			if !ran[line] && (args[0] == "explain" || args[0] == "guide" || args[0] == "help" || args[0] == "schema" || args[0] == "language") {
				ran[line] = true
				var out bytes.Buffer
				if code := run(context.Background(), args, &console{out: &out, err: &out}); code != exitFine {
					t.Errorf("%s: %q: exit code %d: %s", name, line, code, out.String())
				}
			}
		}
	}
	if lines < 60 || len(ran) < 5 {
		t.Errorf("only %d command lines, %d carried out", lines, len(ran))
	}
}

// words splits a command line as a shell does, as far as the documents go: by spaces, but inside quotation marks.
func words(line string) []string {
	var out []string
	for i, part := range strings.Split(line, `"`) {
		if i%2 == 1 {
			out = append(out, part)
			continue
		}
		out = append(out, strings.Fields(part)...)
	}
	return out
}

// README stays short.
func TestReadmeIsShort(t *testing.T) {
	content, err := os.ReadFile("../../README.md")
	assert.NilError(t, err)
	if n := bytes.Count(content, []byte("\n")); n > 150 {
		t.Errorf("README.md has %d lines", n)
	}
	for _, m := range regexp.MustCompile(`\]\(([^)#]+)`).FindAllSubmatch(content, -1) {
		if _, err := os.Stat(filepath.Join("../..", filepath.FromSlash(string(m[1])))); err != nil {
			t.Error(err)
		}
	}
}
