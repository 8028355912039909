//go:build editors

package lsp

import (
	"archive/zip"
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

// packager is what the commonest editor's extensions are packed with.
const packager = "@vscode/vsce@3.9.2"

// TestPackagerTakesTheExtension packs the folder for editors with the packager that their extensions are published with.
func TestPackagerTakesTheExtension(t *testing.T) {
	npm, err := exec.LookPath("npm")
	if err != nil {
		t.Skip("npm is not installed: bash .ci/tools all installs it")
	}
	dir := t.TempDir()
	if out, err := exec.CommandContext(t.Context(), npm, "view", packager, "version").CombinedOutput(); err != nil {
		t.Skipf("npm does not give %s here, so nobody has tried whether it takes the extension:\n%s", packager, out)
	}
	run(t, "npm", nil, "install", "--prefix", dir, "--no-audit", "--no-fund", "--ignore-scripts", "--no-save", packager)
	folder, packed := filepath.Join(dir, "extension"), filepath.Join(dir, "matchmark.vsix")
	assert.NilError(t, os.CopyFS(folder, os.DirFS("extension/files")))
	c := exec.CommandContext(t.Context(), filepath.Join(dir, "node_modules", ".bin", "vsce"), "package", "--allow-missing-repository", "--skip-license", "--out", packed)
	c.Dir = folder
	out, err := c.CombinedOutput()
	assert.NilError(t, err, string(out))
	archive, err := zip.OpenReader(packed)
	assert.NilError(t, err)
	defer archive.Close()
	for _, name := range []string{"extension/package.json", "extension/syntaxes/matchmark.tmLanguage.json"} {
		f, err := archive.Open(name)
		assert.NilError(t, err)
		f.Close()
	}
}
