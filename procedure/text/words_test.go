package text

import "testing"

func TestCapitalised(t *testing.T) {
	for in, want := range map[string]string{"take it off": "Take it off", "öffnen": "Öffnen", "": "", "3 turns": "3 turns"} {
		if got := Capitalised(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}
