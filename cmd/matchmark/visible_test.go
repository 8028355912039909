package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
)

// No name of a file and nothing in one reaches the terminal as anything but text.
func TestNothingHostileReachesTheTerminal(t *testing.T) {
	dir := t.TempDir()
	const hostile = "\x1b[2J\x1b]0;gone\a\u009b31m\u202e"
	files := map[string]string{
		"lib/" + hostile + ".md": "---\nkind: procedure\nid: job\ntitle: " + hostile + "\nmachine: \"" + hostile + "\"\nedition: \"1\"\n---\n::: step one \"" + hostile + "\"\n" + hostile + "\n:::\n",
		"lib/library.yaml":       "title: Shop\nlanguage: en\n",
		hostile + ".json":        `{"format": "matchmark quiz response"`,
		hostile + ".csv":         "procedure,step\n" + hostile + ",x\n",
	}
	for name, content := range files {
		file := filepath.Join(dir, filepath.FromSlash(name))
		assert.NilError(t, os.MkdirAll(filepath.Dir(file), 0o777))
		if err := os.WriteFile(file, []byte(content), 0o666); err != nil {
			t.Skipf("the system takes no such names: %v", err)
		}
	}
	lib, at := filepath.Join(dir, "lib"), func(ending string) string { return filepath.Join(dir, hostile+ending) }
	for _, args := range [][]string{
		{"check", lib}, {"check", lib, "--json"}, {"compile", lib, "-o", filepath.Join(dir, "site")}, {"plan", lib}, {"mark", at(".json")}, {"mark", lib, at(".json")},
		{"workorder", at(".json")}, {"revise", at(".csv")}, {"revise", lib, at(".csv")}, {"compare", lib, at("")}, {"explain", hostile}, {hostile}, {"check", "--" + hostile}, {"check", at("")},
		{"new", filepath.Join(dir, "new"+hostile)}, {"serve", at(""), "--data", filepath.Join(dir, "class")}, {"restore", at(".db"), "--data", filepath.Join(dir, "class")}, {"backup", "--data", at("")},
	} {
		var out bytes.Buffer
		run(context.Background(), args, &console{out: &out, err: &out})
		if out.Len() == 0 {
			t.Errorf("%q says nothing", args)
		}
		if i := strings.IndexAny(out.String(), "\x1b\a\u009b\u202e"); i >= 0 {
			t.Errorf("%q writes to the terminal:\n%q", args, out.String())
		}
	}
}

func TestVisibleInPieces(t *testing.T) {
	var out bytes.Buffer
	v := &visible{to: &out}
	for _, b := range []byte("Öl ☐ \x1b[0m\n") {
		if n, err := v.Write([]byte{b}); n != 1 || err != nil {
			t.Fatal(n, err)
		}
	}
	if got := out.String(); got != `Öl ☐ \u001b[0m`+"\n" {
		t.Errorf("%q", got)
	}
}
