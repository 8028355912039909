package compile

import (
	"os"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"
)

// unitLibrary is a pump that comes out with a bracket and a hub on it; the hub comes off on the bench, and the pump is lifted once more.
func unitLibrary(t *testing.T) fstest.MapFS {
	t.Helper()
	archive, err := os.ReadFile("testdata/unit.txtar")
	assert.NilError(t, err)
	out := fstest.MapFS{}
	for _, file := range strings.Split("\n"+string(archive), "\n-- ")[1:] {
		name, text, _ := strings.Cut(file, " --\n")
		out[name] = &fstest.MapFile{Data: []byte(text + "\n")}
	}
	return out
}

var (
	markup     = regexp.MustCompile(`(?s)<script.*?</script>|<[^>]*>`)
	whatsLifts = regexp.MustCompile(`\bPump(?: with [^:;]*?| on [A-Z][a-z ]*?)?,? (?:Store:? on the pallet, chocked )?(?:Mass:? )?(\d+ kg)`)
)

// TestOneMassOnEveryPage: what a unit weighs with all that rides along stands on every page that has a mass of it, and less of it once
// something has come off. 84 kg is what the pump weighs by itself, and it never is by itself here.
func TestOneMassOnEveryPage(t *testing.T) {
	files, _, _ := inMemory(t, unitLibrary(t), nil)
	const whole, less = "122 kg", "113 kg" // 84 + 29 + 9, and without the hub of 9
	for page, want := range map[string][]string{
		"procedure/pump-out/lift.html":           {whole, less},
		"procedure/pump-out/checklist.html":      {whole, whole, whole, less, less},
		"procedure/pump-out/steps.html":          {whole, whole, whole, less, less},
		"procedure/pump-out/tools.html":          {whole, whole, whole, less},
		"procedure/pump-out/labels.html":         {whole},
		"procedure/pump-out-back/lift.html":      {whole},
		"procedure/pump-out-back/checklist.html": {whole, whole},
		"procedure/pump-out-back/steps.html":     {whole, whole},
		"procedure/pump-out-back/tools.html":     {whole, whole},
	} {
		words := strings.Join(strings.Fields(markup.ReplaceAllString(string(files[page]), " ")), " ")
		var got []string
		for _, m := range whatsLifts.FindAllStringSubmatch(words, -1) {
			got = append(got, m[1])
		}
		if strings.Join(got, ", ") != strings.Join(want, ", ") {
			t.Errorf("%s says that the pump weighs %v, want %v", page, got, want)
		}
		if strings.Contains(words, "84 kg") {
			t.Errorf("%s has the mass of the pump without what rides along", page)
		}
	}
}
