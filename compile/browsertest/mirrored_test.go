//go:build browser && engines

package browsertest

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"gotest.tools/v3/assert"
)

// TestEnginesMirrored compiles the demo in a language that is made up: all fixed words of the pages are two fifths longer, with accents
// above and below, and run from right to left, and so do the pages. On each kind of page nothing is cut, nothing lies on
// something else, and nothing scrolls sideways, on a phone and on a tablet.
func TestEnginesMirrored(t *testing.T) {
	s := compileLibraryBy(t, buildMirrored(t), mirroredDemo(t))
	h := &hand{t, startChromium(t)}
	for _, page := range s.oneOfEachKind(t) {
		for _, size := range []struct{ width, height int }{{390, 844}, {1024, 768}} {
			h.resize(size.width, size.height)
			h.open(s.file(page))
			where := fmt.Sprintf("%s, %d wide", page, size.width)
			if dir := in[string](h, `getComputedStyle(document.body).direction`); dir != "rtl" {
				t.Errorf("%s runs %s", where, dir)
			}
			h.laidOut(where)
			h.without(where, "cut", cutWords)
			h.without(where, "beyond the side of the screen", beyondTheSide)
			h.without(where, "lie on each other", wordsOnWords)
		}
	}
}

// mirroredLanguage is Hebrew: the pages of a language that is written from right to left say so.
const mirroredLanguage = "he"

// buildMirrored builds the command with a table of made-up words beside the others; no other command has them.
func buildMirrored(t *testing.T) string {
	t.Helper()
	source, err := os.ReadFile("../../themes/words/en.yaml")
	assert.NilError(t, err)
	var table map[string]string
	assert.NilError(t, yaml.Unmarshal(source, &table))
	for key, words := range table {
		if !strings.HasPrefix(key, "number.") {
			table[key] = mirrored(words)
		}
	}
	dir := t.TempDir()
	made, overlay, bin := filepath.Join(dir, "words.yaml"), filepath.Join(dir, "overlay.json"), filepath.Join(dir, "matchmark")
	content, err := yaml.Marshal(table)
	assert.NilError(t, err)
	assert.NilError(t, os.WriteFile(made, content, 0o666))
	place, err := filepath.Abs("../../themes/words/" + mirroredLanguage + ".yaml")
	assert.NilError(t, err)
	content, err = json.Marshal(map[string]any{"Replace": map[string]string{place: made}})
	assert.NilError(t, err)
	assert.NilError(t, os.WriteFile(overlay, content, 0o666))
	out, err := exec.Command("go", "build", "-overlay", overlay, "-o", bin, "matchmark/cmd/matchmark").CombinedOutput()
	assert.NilError(t, err, "%s", out)
	return bin
}

// mirrored makes words of the language: accents over and under the vowels, two fifths longer, turned round as a whole.
func mirrored(words string) string {
	longer := strings.NewReplacer("a", "ậ", "e", "ệ", "i", "ị", "o", "ộ", "u", "ụ", "A", "Ậ", "E", "Ệ", "I", "Ị", "O", "Ộ", "U", "Ụ").Replace(words)
	parts := strings.Fields(strings.Repeat("wörtër ", len(words)))
	for i := 0; len([]rune(longer))*5 < len([]rune(words))*7; i++ {
		if len([]rune(words)) < 12 {
			longer += "ǵ" // a short word stays one word
		} else {
			longer += " " + parts[i]
		}
	}
	return "\u202e" + longer + "\u202c"
}

// mirroredDemo is the demo library, in the made-up language.
func mirroredDemo(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "demo")
	assert.NilError(t, os.CopyFS(dir, os.DirFS("../../content")))
	at := filepath.Join(dir, "library.yaml")
	source, err := os.ReadFile(at)
	assert.NilError(t, err)
	var lines []string
	for line := range strings.Lines(string(source)) {
		if !strings.HasPrefix(line, "language:") {
			lines = append(lines, line)
		}
	}
	assert.NilError(t, os.WriteFile(at, []byte("language: "+mirroredLanguage+"\n"+strings.Join(lines, "")), 0o666))
	return dir
}

// visibleWords are the lines of words on the page: each with the box of what is to be seen of it, how much of its length lies behind an
// edge, and the element that it is in. Left out are drawings, what is there for a screen reader alone, and what ends in an ellipsis.
const visibleWords = `(() => {
	function seen(r, e) {
		const box = { left: r.left, right: r.right, top: r.top, bottom: r.bottom, gone: 0 };
		for (; e !== document.body; e = e.parentElement) {
			const style = getComputedStyle(e), b = e.getBoundingClientRect();
			if (style.textOverflow === "ellipsis" || style.overflowX === "hidden" && e.clientWidth < 2 && style.display !== "inline" || style.position === "fixed" || style.position === "sticky") return null;
			if (style.overflowX === "visible" || style.display === "inline") continue;
			const length = box.right - box.left;
			box.left = Math.max(box.left, b.left); box.right = Math.min(box.right, b.right);
			box.top = Math.max(box.top, b.top); box.bottom = Math.min(box.bottom, b.bottom);
			if (style.overflowX === "hidden" || style.overflowX === "clip") box.gone += length - Math.max(0, box.right - box.left);
			else if (box.right - box.left < length - 1) return null; // it can be scrolled to
		}
		return box;
	}
	return [...document.querySelectorAll("body *")]
		.filter(e => !e.closest("svg, [inert]") && e.checkVisibility({visibilityProperty: true, opacityProperty: true}))
		.flatMap(e => [...e.childNodes].filter(n => n.nodeType === 3 && n.data.trim()).flatMap(n => {
			const range = document.createRange();
			range.selectNodeContents(n);
			return [...range.getClientRects()].map(r => ({n, e, b: seen(r, e)}));
		})).filter(x => x.b && (x.b.gone > 2 || x.b.right - x.b.left > 1 && x.b.bottom - x.b.top > 1));
})()`

// cutWords lists words that lie beyond an edge behind which nothing is shown.
const cutWords = visibleWords + `.filter(x => x.b.gone > 2).map(x => x.n.data.trim().slice(0, 60) + " in " + x.e.outerHTML.slice(0, 100))`

// beyondTheSide lists targets that no scrolling brings onto the screen: what is beyond the side where words begin widens no page.
const beyondTheSide = onScreen + `.filter(x => { for (let e = x.e; e; e = e.parentElement) if (/auto|scroll/.test(getComputedStyle(e).overflowX)) return false; return x.b.left < -1 || x.b.right > innerWidth + 1; })
	.map(x => x.e.outerHTML.slice(0, 120))`

// wordsOnWords lists pairs of words that lie on each other.
const wordsOnWords = `(() => {
	const found = [], all = ` + visibleWords + `.sort((a, b) => a.b.top - b.b.top);
	all.forEach((x, i) => {
		for (let k = i + 1; k < all.length && all[k].b.top < x.b.bottom - 4; k++) {
			const y = all[k], wide = Math.min(x.b.right, y.b.right) - Math.max(x.b.left, y.b.left), high = Math.min(x.b.bottom, y.b.bottom) - y.b.top;
			if (x.n !== y.n && wide > 3 && high > 0.4 * Math.min(x.b.bottom - x.b.top, y.b.bottom - y.b.top)) {
				found.push(x.n.data.trim().slice(0, 50) + " and " + y.n.data.trim().slice(0, 50) + " in " + y.e.outerHTML.slice(0, 100));
			}
		}
	});
	return found;
})()`
