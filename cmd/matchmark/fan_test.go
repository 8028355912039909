package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/pagetest"
)

// A job of another trade than the demo's, with all that depends on what is found: readings, a table, a series and a sum; decisions on a
// reading, an inspection and the learner's word; rounds there and back, waits, a unit that comes apart on the bench, trades, shared steps
// taken in twice, what is renewed and where waste goes. It brings neither error nor warning, and its pages agree.
func TestAFanTakenApartOnTheBench(t *testing.T) {
	const library = "../../testdata/fan"
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	said, code := runTyped(t, []string{"check", library})
	if code != exitFine || regexp.MustCompile(`(?m): (error|warning) `).MatchString(said) {
		t.Fatalf("check ends with %d:\n%s", code, said)
	}
	site := filepath.Join(t.TempDir(), "site")
	if said, code := runTyped(t, []string{"compile", library, "-o", site}); code != exitFine {
		t.Fatalf("compile ends with %d:\n%s", code, said)
	}
	page := func(name string) string {
		src, err := os.ReadFile(filepath.Join(site, "procedure", filepath.FromSlash(name)))
		assert.NilError(t, err)
		return strings.Join(strings.Fields(pagetest.Parse(t, src).Text()), " ")
	}

	// The unit has shaft, bearings, cap and seal in it when it hangs: 24 + 11 + 2 + 2 + 1.5 + 0.1 kg, on every page and on each support,
	// the sling too, which the lift does not name again.
	for _, name := range []string{"steps-three", "checklist-three", "tools-three", "lift-three"} {
		text := page("fan-bearings/" + name + ".html")
		if !strings.Contains(text, "40.6 kg") || strings.Contains(text, "24 kg") {
			t.Errorf("%s: the bearing unit does not weigh 40.6 kg everywhere", name)
		}
	}
	if text := page("fan-bearings/lift-three.html"); !strings.Contains(text, "Round sling") {
		t.Error("the lift sheet leaves out the sling that the unit hangs in")
	}

	// A new one with a row of its own lies ready once; two trades' work is told apart from the third's.
	tools := page("fan-bearings-back/tools-three.html")
	for _, once := range []string{"New shaft seal", "New bearing oil", "New tab washer", "New gasket of the inlet cone"} {
		if strings.Count(tools, once) != 1 {
			t.Errorf("the list of what lies ready has %q %d times", once, strings.Count(tools, once))
		}
	}
	if strings.Contains(tools, "replaces the old one") {
		t.Error("the list of what lies ready asks for new ones twice")
	}

	// What is measured cannot change places with what lays it bare, nor with what stops the machine.
	_, swaps, _ := strings.Cut(page("fan-bearings/index.html"), "Could change places")
	for _, pair := range []string{"Read the fan while it runs and 2", "Take the guard off and 8 Measure", "Measure the belts and 9", "Press the shaft out and 22"} {
		if strings.Contains(swaps, pair) {
			t.Errorf("it is said that steps can change places: %s", pair)
		}
	}

	back := page("fan-bearings-back/steps-three.html")
	for _, has := range []string{
		"Only if: “Does a bearing run rough?” yes", "Repeat until: Force at 10 mm deflection within limits", "As found", "Lay rings of Ring behind the cap, mm",
		"Left-hand thread: turn anticlockwise to tighten", "Take a new one",
	} {
		if !strings.Contains(back, has) {
			t.Errorf("the way back does not say %q", has)
		}
	}
}
