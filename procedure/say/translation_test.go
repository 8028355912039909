package say_test

import (
	"encoding/json"
	"maps"
	"os"
	"regexp"
	"slices"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure/say"
)

// TestTranslations holds the translations against the catalogue: each line is there, with the same places, and none that nobody says.
// A choice of a word needs a number, which a part has that chooses a word in English.
func TestTranslations(t *testing.T) {
	content, err := os.ReadFile("catalogue.json")
	assert.NilError(t, err)
	var catalogue map[string][]string
	assert.NilError(t, json.Unmarshal(content, &catalogue))
	said := map[string]bool{".": true}
	for _, lines := range catalogue {
		for _, line := range lines {
			said[line] = true
		}
	}
	words := say.Translation("de")
	for line := range maps.Keys(said) {
		translated, ok := words[line]
		if !ok {
			t.Errorf("nobody has translated %q: add it to de.json", line)
			continue
		}
		if got, want := slices.Sorted(slices.Values(say.Places(translated))), slices.Sorted(slices.Values(say.Places(line))); !slices.Equal(got, want) {
			t.Errorf("%q has the places %v, and %q has %v", line, want, translated, got)
		}
		for _, name := range choosing(translated) {
			if !slices.Contains(choosing(line), name) {
				t.Errorf("%q chooses a word by %%%s, which may have no number", translated, name)
			}
		}
		if !slices.Equal(code(line), code(translated)) {
			t.Errorf("%q has other code than %q", translated, line)
		}
	}
	for line := range words {
		if !said[line] {
			t.Errorf("nobody says %q any more: take it out of de.json", line)
		}
	}
}

// choosing are the places of a line whose number chooses a word.
func choosing(line string) (names []string) {
	for _, m := range chooses.FindAllStringSubmatch(line, -1) {
		names = append(names, m[1])
	}
	return names
}

// code is what a line has between backticks: what is typed, the same in every language.
func code(line string) []string {
	return slices.Sorted(slices.Values(regexp.MustCompile("`[^`]*`").FindAllString(line, -1)))
}

func TestTranslation(t *testing.T) {
	line := say.That("%count %count(part|parts) of %mass kg", say.Count(2), say.Decimal{Value: 12.5, Places: say.Shortest})
	words := say.Language{".": ",", "%count %count(part|parts) of %mass kg": "%mass kg: %count(ein Teil|mehrere Teile), %count"}
	assert.Equal(t, line.In(words), "12,5 kg: mehrere Teile, 2")
	assert.Equal(t, line.In(nil), "2 parts of 12.5 kg")
	assert.Equal(t, words.Of("no such line"), "no such line")
	for code, want := range map[string]string{"de": "Fehler", "de-AT": "Fehler", "DE": "Fehler", "en": "error", "": "error", "xx": "error"} {
		assert.Equal(t, say.Translation(code).Of("error"), want, code)
	}
}
