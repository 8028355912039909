//go:build browser

package browsertest

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
)

const axePath = "../../.ci/node_modules/axe-core/axe.min.js"

// runAxe asks axe-core for the contrast of WCAG 2.2, 1.4.6 (7:1, large text
// 4.5:1) besides everything that it checks by itself.
const runAxe = `axe.run(document, {
	rules: {"color-contrast-enhanced": {enabled: true}},
	resultTypes: ["violations"],
	preload: false, // it would fetch the style sheets, which the page's policy forbids
}).then(r => ({
	Passes: r.passes.length,
	Violations: r.violations.map(v => v.id + ": " + v.help + "\n" + v.nodes.slice(0, 4).map(n => "    " + n.html.slice(0, 160) + "\n      " + n.any.concat(n.all, n.none).map(c => c.message).join("; ")).join("\n")),
}))`

// accessibility runs axe-core over a page of each kind and over each step of the
// mixer procedure, in one theme.
func accessibility(theme string) func(*testing.T, *site) {
	return func(t *testing.T, s *site) {
		script, err := os.ReadFile(axePath)
		assert.NilError(t, err)
		b := openTab(t, newProfile(t))
		load := func(page string) {
			b.visit(s.file(page))
			eval[bool](b, string(script)+"\n;true")
		}
		b.prefer(theme)
		for _, page := range s.oneOfEachKind(t) {
			load(page)
			b.wantAccessible(theme + ", " + page)
		}
		if testing.Short() {
			return
		}
		load(s.first("procedure/mixer-gearbox-out/steps*.html"))
		for _, id := range eval[[]string](b, `[...document.querySelectorAll(".step")].map(e => e.id)`) {
			eval[string](b, fmt.Sprintf(`location.hash = %q`, id))
			b.waitFor(fmt.Sprintf(`document.getElementById(%q).matches(".shown")`, id))
			b.wantAccessible(theme + ", step " + id)
		}
		b.click("#ui_open-list")
		b.click("#ui_start-over")
		b.wantAccessible(theme + ", list of steps")
		b.wantCaught(s, string(script))
	}
}

// sameThemes checks that the themes which a user chooses look like those that a device asks for.
func sameThemes(t *testing.T, s *site) { openTab(t, newProfile(t)).wantSameThemes(s) }

// wantCaught spoils a page and checks that axe-core says so.
func (b *tab) wantCaught(s *site, script string) {
	b.t.Helper()
	b.prefer("light")
	b.visit(s.file("index.html"))
	eval[bool](b, script+`
		;document.querySelector("h1").style.color = "#888" // between 3:1 and 4.5:1;
		document.querySelector("main").append(document.createElement("button"));
		true`)
	found := strings.Join(eval[axeResult](b, runAxe).Violations, "\n")
	for _, rule := range []string{"color-contrast-enhanced", "button-name"} {
		if !strings.Contains(found, rule) {
			b.t.Errorf("axe-core did not find %s in a spoilt page: %s", rule, found)
		}
	}
}

type axeResult struct {
	Passes     int
	Violations []string
}

func (b *tab) wantAccessible(where string) {
	b.t.Helper()
	result := eval[axeResult](b, runAxe)
	if result.Passes == 0 {
		b.t.Errorf("%s: axe-core checked nothing", where)
	}
	for _, violation := range result.Violations {
		b.t.Errorf("%s: %s", where, violation)
	}
}

// wantSameThemes checks that the theme a user chooses looks like the one that a
// device asks for, which is the one that axe-core saw.
func (b *tab) wantSameThemes(s *site) {
	b.t.Helper()
	const colours = `JSON.stringify(["body", "a", "h1"].map(e => getComputedStyle(document.querySelector(e))).map(c => [c.color, c.backgroundColor]))`
	seen := map[string]string{}
	for _, theme := range []string{"light", "dark"} {
		b.prefer(theme)
		b.visit(s.file("index.html"))
		seen[theme] = eval[string](b, colours)
	}
	if seen["light"] == seen["dark"] {
		b.t.Error("a dark page looks like a light one")
	}
	for theme, device := range map[string]string{"light": "dark", "dark": "light"} {
		b.prefer(device)
		eval[bool](b, fmt.Sprintf(`(() => { const c = document.querySelector("#ui_theme-choice"); c.value = %q; c.dispatchEvent(new Event("change", {bubbles: true})); return true })()`, theme))
		b.visit(s.file(s.first("machine/*.html"))) // the choice goes with the user
		b.visit(s.file("index.html"))
		if got := eval[string](b, colours); got != seen[theme] {
			b.t.Errorf("%s chosen on a %s device: %s, want %s", theme, device, got, seen[theme])
		}
	}
}
