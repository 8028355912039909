//go:build browser

package browsertest

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
)

// openPages keeps pages open while their server goes.
func openPages(t *testing.T, s *site) {
	for _, page := range []string{"procedure/mixer-gearbox-out/steps*.html", "procedure/mixer-gearbox-out-back/steps*.html", "quiz/mixer-quiz/index.html"} {
		s.wantPicturesStay(t, page)
	}
}

// TestOpenPhotographs does so with photographs, of which the browser picks a size that fits the position of the tablet.
func TestOpenPhotographs(t *testing.T) {
	inTestAll(t)
	wantTools(t)
	lib := filepath.Join(t.TempDir(), "shop")
	if out, err := exec.Command(buildCommand(t), "new", lib).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	machine := filepath.Join(lib, "machines/bench-drill.md")
	text, err := os.ReadFile(machine)
	assert.NilError(t, err)
	for _, figure := range []string{"figures/drive-above", "figures/head-left"} {
		if !strings.Contains(string(text), figure+".svg") {
			t.Fatalf("the new library has no figure %s.svg", figure)
		}
		text = []byte(strings.ReplaceAll(string(text), figure+".svg", figure+".png"))
		assert.NilError(t, os.WriteFile(filepath.Join(lib, figure+".png"), noise(t, 2400, 1600), 0o666))
	}
	assert.NilError(t, os.WriteFile(machine, text, 0o666))
	s := compileLibrary(t, lib)
	s.wantPicturesStay(t, "procedure/drill-belt-off/steps*.html")
	s.wantPicturesStay(t, "quiz/drill-quiz/index.html")
}

// wantPicturesStay opens a page, whose server then goes, and looks at all that it can show, with the tablet
// upright and on its side: a page that is open has its pictures.
func (s *site) wantPicturesStay(t *testing.T, page string) {
	t.Helper()
	path := s.first(page)
	if path == "" {
		t.Fatalf("there is no page %s", page)
	}
	server := httptest.NewServer(http.FileServer(http.Dir(s.dir)))
	defer server.Close()
	b := openTab(t, newProfile(t))
	b.visit(server.URL + "/" + path)
	server.Close()
	looked := 0
	for _, width := range []int{768, 1024} {
		b.resize(width)
		for _, id := range eval[[]string](b, `[...document.querySelectorAll(".step, .question")].filter(e => e.querySelector("img")).map(e => e.id)`) {
			if eval[bool](b, fmt.Sprintf(`document.getElementById(%q).matches(".step")`, id)) {
				b.step(id)
			} else {
				// The quiz has an order of its own in each try; here one question after the other is enough.
				eval[bool](b, fmt.Sprintf(`[...document.querySelectorAll(".question")].map(e => e.hidden = e.id !== %q).length > 0`, id))
			}
			b.waitForPromise(`new Promise(drawn => requestAnimationFrame(() => requestAnimationFrame(() => drawn(true))))`)
			for _, lost := range eval[[]string](b, fmt.Sprintf(`[...document.getElementById(%q).querySelectorAll("img")].filter(i => !i.complete || i.naturalWidth === 0).map(i => i.currentSrc)`, id)) {
				t.Errorf("%s, %d wide: without its server %s lacks the picture %s", path, width, id, lost)
			}
			looked++
		}
	}
	if looked == 0 {
		t.Errorf("%s has no pictures to look at", path)
	}
	b.close()
}
