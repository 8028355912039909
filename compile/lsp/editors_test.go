//go:build editors

package lsp

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/content"
)

// installed builds matchmark and copies the demo.
func installed(t *testing.T) (matchmark, library string) {
	t.Helper()
	dir := t.TempDir()
	matchmark, library = filepath.Join(dir, "matchmark"), filepath.Join(dir, "Bäckerei 面包")
	out, err := exec.Command("go", "build", "-o", matchmark, "matchmark/cmd/matchmark").CombinedOutput()
	assert.NilError(t, err, string(out))
	assert.NilError(t, os.CopyFS(library, content.Library()))
	return matchmark, library
}

// run runs a client, or skips where the machine has none.
func run(t *testing.T, name string, env []string, args ...string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Skipf("%s is not installed: bash .ci/tools all installs it", name)
	}
	c := exec.CommandContext(t.Context(), path, args...)
	c.Env = append(os.Environ(), env...)
	c.Stderr = os.Stderr
	out, err := c.Output()
	assert.NilError(t, err, string(out))
	return string(out)
}

// TestReferenceClient walks with the client of the protocol's reference implementation, in both encodings.
func TestReferenceClient(t *testing.T) {
	modules, err := filepath.Abs("../../.ci/node_modules")
	assert.NilError(t, err)
	matchmark, library := installed(t)
	for encoding, character := range map[string]string{"utf-16": "12", "utf-8": "15"} {
		out := run(t, "node", []string{"MATCHMARK_MODULES=" + modules}, "testdata/client.mjs", matchmark, library, mixer, encoding)
		assert.Equal(t, out, "encoding "+encoding+"\nslip 1 "+character+" 8\noffers true true\nright again\nexit 0\n")
	}
}

// TestNeovim walks in an editor as Debian has it.
func TestNeovim(t *testing.T) {
	matchmark, library := installed(t)
	out := run(t, "nvim", []string{"MATCHMARK=" + matchmark, "LIBRARY=" + library, "FILE=" + mixer}, "--headless", "--clean", "-c", "luafile testdata/client.lua")
	assert.Equal(t, out, "slip 1 15\noffers true\nright again\nsymbols true\n")
}
