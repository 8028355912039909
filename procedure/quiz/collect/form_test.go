package collect

import "testing"

func TestUnlettered(t *testing.T) {
	for cell, want := range map[string]string{
		"A2 B3 C1": "2 3 1", "A2·B3·C1": "2 3 1", "a 2, b 3, c 1": "2 3 1",
		"2 3 1": "2 3 1", "C A B": "C A B", "B2 A3 C1": "B2 A3 C1", "": "",
	} {
		if got := unlettered(cell); got != want {
			t.Errorf("%q: %q, want %q", cell, got, want)
		}
	}
}
