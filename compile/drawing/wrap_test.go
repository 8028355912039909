package drawing

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestWrap(t *testing.T) {
	for _, c := range []struct {
		title string
		want  []string
	}{
		{"Lift it out", []string{"Lift it out"}},
		{"Take the drive guard off", []string{"Take the drive", "guard off"}},
		{"Take the rear hood off and carry it away with two people", []string{"Take the rear", "hood off and…"}},
		{"Donaudampfschifffahrtsgesellschaft abbauen", []string{"Donaudampfs…", "abbauen"}},
		{"", nil},
	} {
		if got := Wrap(c.title, 130, 15, 2); !slices.Equal(got, c.want) {
			t.Errorf("%q: %q, want %q", c.title, got, c.want)
		}
	}
}

// Whatever the title: no line is wider than the room, no word is lost but behind an ellipsis.
func TestWrapAlways(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		title := rapid.StringMatching(`[A-Za-zäöüß ,-]{0,80}`).Draw(t, "title")
		got := Wrap(title, 130, 15, 2)
		if len(got) > 2 {
			t.Fatalf("%d lines", len(got))
		}
		for _, line := range got {
			if wide(line)*15 > 130+1e-9 {
				t.Fatalf("%q is %v wide", line, wide(line)*15)
			}
		}
		if all := strings.Join(got, " "); !strings.Contains(all, "…") && all != strings.Join(strings.Fields(title), " ") {
			t.Fatalf("%q became %q", title, got)
		}
	})
}
