//go:build browser

package browsertest

import (
	"slices"
	"testing"

	"matchmark/compile"
	"matchmark/compile/page"
	"matchmark/content"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/rows"
)

// rowNames compares the rows of every step page, there and back, with what the board and work orders
// call them: a script names most of them.
func rowNames(t *testing.T, s *site) {
	lib, err := compile.Load(content.Library(), &diagnostic.Log{})
	if err != nil {
		t.Fatal(err)
	}
	b := openTab(t, newProfile(t))
	for _, p := range lib.Procedures {
		for _, j := range p.Jobs() {
			var want []string
			for _, step := range j.Steps {
				for _, r := range rows.List(step) {
					want = append(want, r.ID)
				}
			}
			b.visit(s.file(page.StepsPath(j)))
			if got := eval[[]string](b, `[...document.querySelectorAll(".row")].map(e => e.id)`); len(want) == 0 || !slices.Equal(got, want) {
				t.Errorf("%s: rows %v, want %v", page.StepsPath(j), got, want)
			}
		}
	}
}
