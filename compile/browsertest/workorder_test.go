//go:build browser

package browsertest

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
)

// TestWorkOrder makes the work order of the demo's record by the command and looks
// at its two pages: as a folder, for people who cannot see or print in colour, and on paper.
func TestWorkOrder(t *testing.T) {
	wantTools(t)
	bin := buildCommand(t)
	s := &site{dir: filepath.Join(t.TempDir(), "order"), pages: []string{"index.html", "checklist.html"}}
	if out, err := exec.Command(bin, "workorder", "../../content/records/mixer-no-4.json", "-o", s.dir).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	t.Run("markup", func(t *testing.T) {
		var files []string
		for _, page := range s.pages {
			files = append(files, filepath.Join(s.dir, page))
		}
		for _, message := range append(nu(t, files), htmlValidate(t, files)...) {
			t.Error(strings.ReplaceAll(message, s.dir+"/", ""))
		}
	})
	t.Run("every page from a folder", func(t *testing.T) { everyPageFromFolder(t, s) })
	b := openTab(t, newProfile(t))
	axe, err := os.ReadFile(axePath)
	assert.NilError(t, err)
	for _, theme := range []string{"light", "dark"} {
		b.prefer(theme)
		for _, page := range s.pages {
			b.visit(s.file(page))
			eval[bool](b, string(axe)+"\n;true")
			b.wantAccessible(theme + ", " + page)
		}
	}
	b.prefer("light")
	b.visit(s.file("index.html"))
	if broken := eval[int](b, `[...document.images].filter(i => !i.complete || !i.naturalWidth).length`); broken > 0 {
		t.Errorf("%d photos are not shown", broken)
	}
	if shown := eval[int](b, `document.images.length`); shown != 2 {
		t.Errorf("%d photos, want 2", shown)
	}
	// A value beyond its limits is framed, and no other.
	framed := `[...document.querySelectorAll("%s .reading-value")].every(e => parseFloat(getComputedStyle(e).borderTopWidth) %s)`
	if !eval[bool](b, fmt.Sprintf(framed, ".beyond", "> 0")+" && "+fmt.Sprintf(framed, ".within", "=== 0")) {
		t.Error("frames do not tell the values beyond their limits")
	}
	// Each finding stands on one page, with the line to sign for its repair.
	findings := eval[[]string](b, `[...document.querySelectorAll(".finding")].map(f => f.querySelector("h3").lastChild.textContent + "|" + [...f.querySelectorAll("p")].pop().textContent)`)
	if len(findings) != 7 {
		t.Errorf("%d findings, want 7", len(findings))
	}
	for _, p := range papers {
		pages := b.print(p.size, p.width, p.height, "the work order on "+p.name)
		for _, f := range findings {
			title, last, _ := strings.Cut(f, "|")
			if !oneHasBoth(pages, title, last) {
				t.Errorf("on %s no page has both %q and %q", p.name, title, last)
			}
		}
	}
	// On the checklist a repair stands on the page of the step that it holds back.
	b.visit(s.file("checklist.html"))
	gated := eval[[]string](b, `[...document.querySelectorAll(".repairs + .check")].map(c => c.previousElementSibling.querySelector(".what").textContent + "|" + c.querySelector("h2").lastChild.textContent)`)
	if len(gated) != 3 {
		t.Errorf("%q, want 3 steps that wait", gated)
	}
	for _, p := range papers {
		pages := b.print(p.size, p.width, p.height, "the gated checklist on "+p.name)
		for _, g := range gated {
			repair, step, _ := strings.Cut(g, "|")
			if !oneHasBoth(pages, repair, step) {
				t.Errorf("on %s no page has both %q and %q", p.name, repair, step)
			}
		}
	}
}

// oneHasBoth reports whether two texts stand on one printed page.
func oneHasBoth(pages []string, a, b string) bool {
	for _, page := range pages {
		if stands(page, a) && stands(page, b) {
			return true
		}
	}
	return false
}
