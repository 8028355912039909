package record

import (
	"os"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
)

// The types that scripts are checked by have the fields of the record, and leave out what it leaves out.
func TestTypesOfScriptsAreThoseOfTheRecord(t *testing.T) {
	source, err := os.ReadFile("../../.ci/scripts/scripts.d.ts")
	assert.NilError(t, err)
	types := map[string][]string{}
	for _, m := range regexp.MustCompile(`interface (\w+)[^{]*\{([^}]*)\}`).FindAllStringSubmatch(string(source), -1) {
		for _, field := range regexp.MustCompile(`(\w+\??): `).FindAllStringSubmatch(m[2], -1) {
			types[m[1]] = append(types[m[1]], field[1])
		}
	}
	for name, of := range map[string]any{
		"JobRecord": Record{}, "Stamp": Stamp{}, "Flag": Entry[bool]{}, "Tablet": Tablet{}, "Interval": Interval{}, "Confirmation": Confirmation{}, "Signature": Signature{},
		"Measurement": Measurement{}, "Finding": Finding{}, "Repair": Repair{}, "Photo": Photo{},
	} {
		var want []string
		for i := range reflect.TypeOf(of).NumField() {
			if tag := reflect.TypeOf(of).Field(i).Tag.Get("json"); tag != "" {
				want = append(want, strings.Replace(tag, ",omitempty", "?", 1))
			}
		}
		if got := types[name]; !slices.Equal(slices.Sorted(slices.Values(got)), slices.Sorted(slices.Values(want))) {
			t.Errorf("%s has %q, want %q", name, got, want)
		}
	}
}
