package source

import (
	"strings"
	"testing"

	"matchmark/procedure/text"
)

func TestLists(t *testing.T) {
	for in, want := range map[string]string{
		"9 and 10": "9 10", "9, 10, and 11": "9 10 11", "8-10": "8 9 10", "8 – 10": "8 9 10", "8—9, 12": "8 9 12", "hood und frame": "hood frame",
		"hood & 4-5": "hood 4 5", "left-foot, right-foot": "left-foot right-foot", "hand and-nut": "hand and-nut",
		"10-8": "10-8", "0-3": "0-3", "4-": "4-", "1-1000": "1-1000", "and": "and", " , 4 and ": "4 and", "": "",
	} {
		file := text.NewFile("a.md", []byte(in))
		var got []string
		for _, ref := range splitRefs(in, file.Span(0, len(in))) {
			got = append(got, ref.ID)
			if !strings.Contains(in, ref.Span.Text()) || ref.Span.Text() == "" {
				t.Errorf("%q: %s stands at %q", in, ref.ID, ref.Span.Text())
			}
		}
		if strings.Join(got, " ") != want {
			t.Errorf("%q names %q, want %q", in, got, want)
		}
	}
}

// The decimal sign of each language is that of the CLDR; German writes a comma, in Switzerland a point.
func TestDecimalSignByLanguage(t *testing.T) {
	for tag, comma := range map[string]bool{"en": false, "en-GB": false, "de": true, "de-AT": true, "de-CH": false, "fr": true, "": false, "no language": false} {
		if got := numbersIn(tag); got.Comma != comma {
			t.Errorf("%q: a comma is %v", tag, got.Comma)
		}
	}
	src := machineHead + "::: register fluids\n| id | name | quantity |\n|---|---|---|\n| oil | Oil | 1.234,5 L |\n:::\n"
	lib, log := readFiles(t, map[string]string{"a.md": src, "library.yaml": "title: A\nlanguage: de\n"})
	if log.HasErrors() || lib.Machines[0].Fluids[0].Quantity.String() != "1234.5 L" {
		t.Errorf("%v", log.Sorted())
	}
}
