package extension

import (
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
	"gotest.tools/v3/golden"
)

const folder = "files"

func TestFilesAreMadeFromTheTables(t *testing.T) {
	files, err := Files()
	assert.NilError(t, err)
	for name, want := range files {
		file := filepath.Join(folder, filepath.FromSlash(name))
		if golden.FlagUpdate() {
			assert.NilError(t, os.MkdirAll(filepath.Dir(file), 0o777))
			assert.NilError(t, os.WriteFile(file, want, 0o666))
		}
		got, err := os.ReadFile(file)
		assert.NilError(t, err)
		if string(got) != string(want) {
			t.Errorf("%s is out of date: go test ./compile/lsp/extension -update", name)
		}
	}
}

// TestPatternsFindTheLanguage runs the patterns over lines of the language. Go knows no look-ahead, which is cut off here.
func TestPatternsFindTheLanguage(t *testing.T) {
	g := colours()
	find := func(i int, line string) []string {
		return regexp.MustCompile(strings.ReplaceAll(g.Patterns[i].Match, `(?![a-z-])`, `(?:[^a-z-]|$)`)).FindStringSubmatch(line)
	}
	for line, want := range map[string]string{
		"::: caution danger": "caution", "::: register parts \"Parts\"": "parts", "::::: variant": "variant", "::: hold \"Stop\"": "hold",
	} {
		if m := find(0, line); m == nil || m[3]+m[4] != want {
			t.Errorf("%q: %q", line, m)
		}
	}
	for line, want := range map[string]string{"- [ ] set down gearbox": "set down", "- [ ] remove 1": "remove", "  * [ ] verify isolated": "verify"} {
		if m := find(1, line); m == nil || m[1] != want {
			t.Errorf("%q: %q", line, m)
		}
	}
	if m := find(1, "- [ ] removed 1"); m != nil {
		t.Errorf("another word is a verb: %q", m)
	}
	if a := g.Patterns[2].Patterns[2].Match; !strings.Contains(a, "|after|") && !strings.Contains(a, "safe-stop") {
		t.Errorf("attributes are %s", a)
	}
}

func TestManifestNamesWhatIsThere(t *testing.T) {
	files, err := Files()
	assert.NilError(t, err)
	var m struct {
		Contributes struct {
			Grammars []struct{ Path, ScopeName string }
		}
	}
	assert.NilError(t, json.Unmarshal(files["package.json"], &m))
	for _, g := range m.Contributes.Grammars {
		if files[strings.TrimPrefix(g.Path, "./")] == nil || g.ScopeName != scope {
			t.Errorf("%+v is not there", g)
		}
	}
}
