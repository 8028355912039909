//go:build browser

package browsertest

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
)

// TestSearchInALargeLibrary searches in a library whose lists are cut into pages
// and whose index comes in many pieces, all of it opened from a folder.
func TestSearchInALargeLibrary(t *testing.T) {
	inTestAll(t)
	lib := t.TempDir()
	write := func(name, content string) {
		assert.NilError(t, os.WriteFile(filepath.Join(lib, name), []byte(content), 0o666))
	}
	write("press.md", "---\nkind: machine\nid: press\ntitle: Press\nsummary: One frame\n---\n::: register parts\n| id | name | base |\n|---|---|---|\n| frame | Frame | yes |\n:::\n")
	for i := range 400 {
		var b strings.Builder
		fmt.Fprintf(&b, "---\nkind: procedure\nid: job-%d\ntitle: Clean the frame, job %d\nsummary: Wipe it.\nmachine: press\nedition: \"1\"\naims:\n  - Leave it clean\n---\nClean it.\n\n", i, i)
		for s := range 8 {
			fmt.Fprintf(&b, "::: step wipe-%d \"Wipe side %d of frame %d\" {time=1/2/3}\nWipe side %d dry.\n::: actions\n- clean frame\n:::\n:::\n\n", s, s, i, s)
		}
		write(fmt.Sprintf("job-%d.md", i), b.String())
	}
	s := compileLibrary(t, lib)
	b := openTab(t, newProfile(t))
	b.visit(s.file("index.html"))
	b.tap("#ui_search-words")
	// At once, as from a clipboard: words that are still being typed load pieces too.
	eval[bool](b, `(() => { const box = document.querySelector("#ui_search-words"); box.value = "wipe frame 137"; box.dispatchEvent(new Event("input", {bubbles: true})); return true })()`)
	b.waitFor(`document.querySelectorAll("#ui_search-hits a").length >= 8`)
	if pieces := eval[int](b, `document.querySelectorAll("script[src*='search/g']").length`); pieces == 0 || pieces > 3 {
		t.Errorf("%d groups were loaded for a word that stands in one", pieces)
	}
	b.tap("#ui_search-hits li:first-child a") // hits in the title come first
	b.waitFor(`location.pathname.endsWith("/procedure/job-137/steps.html") && document.querySelector(".step.shown h2") !== null`)
	if got := eval[string](b, `document.querySelector(".step.shown h2").textContent`); !strings.Contains(got, "of frame 137") {
		t.Errorf("the hit leads to the step %q", got)
	}
	b.visit(s.file("index.html"))
	b.tap(".letters a")
	b.waitFor(`document.querySelectorAll(".entry").length === 40`)
	b.tap("nav:last-of-type li:last-child a")
	b.waitFor(`location.pathname.endsWith("/list/procedures/c-10.html") && document.querySelectorAll(".entry").length === 40`)
	b.wantQuiet("file://" + s.dir)
}
