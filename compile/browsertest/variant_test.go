//go:build browser

package browsertest

import (
	"testing"

	"gotest.tools/v3/assert"
)

// variants chooses one of a machine's variants on the page of its procedure: all pages of the machine follow, on this device alone.
func variants(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	const jobs = `[...document.querySelectorAll("section.job")].filter(e => e.checkVisibility()).map(e => e.getAttribute("aria-labelledby"))`
	page := s.file("procedure/mixer-gearbox-out/index.html")
	b.visit(page)
	assert.DeepEqual(t, eval[[]string](b, jobs), []string{"variant-belt", "variant-chain"}) // no plan before it is known which
	b.click(`#ui_variant input[value="chain"]`)
	assert.DeepEqual(t, eval[[]string](b, jobs), []string{"variant-chain", "variant-chain--plan"})

	b.visit(s.file("procedure/mixer-gearbox-out-back/index.html"))
	assert.DeepEqual(t, eval[[]string](b, jobs), []string{"variant-chain", "variant-chain--plan"})
	b.visit(s.file("machine/spiral-mixer.html"))
	const rows = `[...document.querySelectorAll("tr[data-on]")].filter(e => e.checkVisibility() === !e.dataset.on.split(" ").includes("chain")).map(e => e.id)`
	assert.DeepEqual(t, eval[[]string](b, rows), []string{})
	if of := eval[int](b, `document.querySelectorAll('tr[data-on="belt"]').length`); of == 0 {
		t.Error("the machine has no row of one variant alone")
	}
	for _, from := range []string{"index.html", "course/heavy-parts-out.html"} {
		b.visit(s.file(from))
		if links := eval[[]string](b, `[...document.querySelectorAll('[data-machine="spiral-mixer"] a.job')].filter(e => e.checkVisibility() === /steps-belt/.test(e.href)).map(e => e.href)`); len(links) > 0 {
			t.Errorf("%s: of these links the other ones are shown: %s", from, links)
		}
		if ways := eval[int](b, `document.querySelectorAll('[data-machine="spiral-mixer"] .other-variant:not([hidden])').length`); ways == 0 {
			t.Errorf("%s does not say where another variant is chosen", from)
		}
	}

	// A link into the other variant shows it, and is no choice.
	b.visit(page + "#variant-belt--plan")
	assert.DeepEqual(t, eval[[]string](b, jobs), []string{"variant-belt--plan", "variant-chain", "variant-chain--plan"})
	if chosen := eval[string](b, `document.querySelector("#ui_variant input:checked").value`); chosen != "chain" {
		t.Errorf("a link chose %q", chosen)
	}
}
