//go:build browser && engines

package browsertest

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// engine is a browser that a test works in as somebody does who sits before it.
type engine interface {
	// open goes to an address and waits until the page is there.
	open(address string)
	// resize gives the page so much room, or as much as the engine's window can be small.
	resize(width, height int)
	// tap touches a place in the window.
	tap(at spot)
	// typed presses the keys of a text.
	typed(text string)
	// evaluate runs an expression, or what a promise gives, and returns the value as JSON.
	evaluate(expression string) string
	screenshot() []byte
}

// engines are the three families of browsers that a tablet may have.
var engines = []struct {
	name  string
	start func(*testing.T) engine
}{
	{"Chromium", startChromium},
	{"Firefox", startFirefox},
	{"WebKit", startWebKit},
}

// hand is somebody before a browser, whichever it is.
type hand struct {
	t *testing.T
	engine
}

// in returns what an expression gives in the page.
func in[T any](h *hand, expression string) (value T) {
	h.t.Helper()
	said := h.evaluate(expression)
	if err := json.Unmarshal([]byte(said), &value); err != nil {
		h.t.Fatalf("%s gives %s: %v", abridged(expression), abridged(said), err)
	}
	return value
}

// wait waits until an expression is true.
func (h *hand) wait(expression string) {
	h.t.Helper()
	if !until(h.t, forPage, func() bool { return in[bool](h, `Boolean(`+expression+`)`) }) {
		h.keep("waited")
		h.t.Fatalf("waited in vain for %s", abridged(expression))
	}
}

// press touches the one element of a selector, which has to be where it can be hit.
func (h *hand) press(selector string) {
	h.t.Helper()
	var e found
	if !until(h.t, forPage, func() bool {
		e = in[found](h, fmt.Sprintf(reachable, selector))
		return e.Fault == ""
	}) {
		h.keep("covered")
		h.t.Fatalf("%s cannot be hit: %s", selector, e.Fault)
	}
	h.tap(e.spot)
}

// write touches a field and types into it.
func (h *hand) write(selector, text string) {
	h.t.Helper()
	if !until(h.t, forPage, func() bool { // what was done before may still move the row
		h.press(selector)
		return in[bool](h, fmt.Sprintf(`document.activeElement.matches(%q)`, selector))
	}) {
		h.t.Fatalf("%s does not take the focus", selector)
	}
	h.typed(text)
}

// keep writes what the screen shows into the folder that MATCHMARK_SHOTS names, if it does.
func (h *hand) keep(name string) {
	h.t.Helper()
	folder := os.Getenv("MATCHMARK_SHOTS")
	if folder == "" {
		return
	}
	file := filepath.Join(folder, strings.NewReplacer("/", "-", " ", "-").Replace(h.t.Name()+"-"+name)+".png")
	if err := os.WriteFile(file, h.screenshot(), 0o666); err != nil {
		h.t.Error(err)
	}
}

// sound checks the geometry of what is on the screen: nothing is wider than it, no two targets lie on each other, none is cut
// or too small, and there is something to see on each.
func (h *hand) sound(where string) {
	h.t.Helper()
	h.without(where, "too small", smallTargets)
	h.without(where, "nothing is to be seen on", blankButtons)
	h.laidOut(where)
}

// without checks that an expression lists nothing.
func (h *hand) without(where, say, expression string) {
	h.t.Helper()
	for _, fault := range in[[]string](h, expression) {
		h.t.Errorf("%s: %s: %s", where, say, fault)
	}
}

// laidOut is sound but for the size of what is to be touched: a page for a desk has 44 pixels where one at the bench has 48.
func (h *hand) laidOut(where string) {
	h.t.Helper()
	h.keep(where)
	h.without(where, "lie on each other", overlapping)
	h.without(where, "cut", cutTargets)
	if over := in[int](h, `document.documentElement.scrollWidth - innerWidth`); over > 0 {
		h.t.Errorf("%s: the page is %d pixels wider than the screen: %s", where, over, in[string](h, widest))
	}
}

// signed checks that something is drawn in the middle of a button: lines, which leave most of it free, and no patch of colour.
func (h *hand) signed(selector string) {
	h.t.Helper()
	type box struct{ X, Y, Width, Height, Scale float64 }
	at := in[box](h, fmt.Sprintf(`(() => { const e = document.querySelector(%q); e.scrollIntoView({block: "center", behavior: "instant"}); const b = e.getBoundingClientRect();
		return {X: b.x, Y: b.y, Width: b.width, Height: b.height, Scale: devicePixelRatio}; })()`, selector))
	shot, err := png.Decode(bytes.NewReader(h.screenshot()))
	if err != nil {
		h.t.Fatal(err)
	}
	inner := image.Rect(int((at.X+at.Width*0.2)*at.Scale), int((at.Y+at.Height*0.2)*at.Scale), int((at.X+at.Width*0.8)*at.Scale), int((at.Y+at.Height*0.8)*at.Scale))
	if share := inked(shot, inner); share < 0.02 || share > 0.3 {
		h.keep("unsigned")
		h.t.Errorf("of the inside of %s %.1f %% is drawn on, want a sign in lines", selector, share*100)
	}
}

// inked is how much of an area has another colour than most of its upper left corner.
func inked(shot image.Image, area image.Rectangle) float64 {
	ground, drawn := shot.At(area.Min.X, area.Min.Y), 0
	gr, gg, gb, _ := ground.RGBA()
	for y := area.Min.Y; y < area.Max.Y; y++ {
		for x := area.Min.X; x < area.Max.X; x++ {
			r, g, b, _ := shot.At(x, y).RGBA()
			if max(r, gr)-min(r, gr) > 0x4000 || max(g, gg)-min(g, gg) > 0x4000 || max(b, gb)-min(b, gb) > 0x4000 {
				drawn++
			}
		}
	}
	return float64(drawn) / float64(max(1, area.Dx()*area.Dy()))
}

// onScreen are the targets that stand on the screen and could be touched, but for the sign of what lies below an edge: it lies over
// the rows that scroll there.
const onScreen = `[...document.querySelectorAll("button, input:not([type=hidden]), select, textarea, summary, a.button")]
	.filter(e => e.checkVisibility({visibilityProperty: true, opacityProperty: true}) && !e.closest(".balloon, .skip, .unseen, .beyond"))
	.map(e => ({e, b: e.getBoundingClientRect()})).filter(x => x.b.width > 0 && x.b.bottom > 0 && x.b.top < innerHeight)`

// overlapping lists pairs of targets that lie on each other, but for those that lie below a bar or a dialog that covers them.
const overlapping = `(() => {
	const all = ` + onScreen + `.filter(x => { const hit = document.elementFromPoint(x.b.x + x.b.width / 2, x.b.y + x.b.height / 2); return hit && (x.e.contains(hit) || hit.contains(x.e)); }), found = [];
	all.forEach((x, i) => all.slice(i + 1).forEach(y => {
		if (x.e.contains(y.e) || y.e.contains(x.e)) return;
		const w = Math.min(x.b.right, y.b.right) - Math.max(x.b.left, y.b.left), h = Math.min(x.b.bottom, y.b.bottom) - Math.max(x.b.top, y.b.top);
		if (w > 1 && h > 1 && !x.e.closest("#ui_step-bar, .question-bar") === !y.e.closest("#ui_step-bar, .question-bar")) found.push(x.e.outerHTML.slice(0, 150) + " and " + y.e.outerHTML.slice(0, 150));
	}));
	return found;
})()`

// cutTargets lists buttons whose words do not fit into them, or that reach beyond the screen's side.
const cutTargets = onScreen + `.filter(x => x.e.matches("button, a.button, summary") && (x.e.scrollWidth > x.e.clientWidth + 1 || x.e.scrollHeight > x.e.clientHeight + 2 || x.b.left < -1 || x.b.right > innerWidth + 1))
	.map(x => x.e.outerHTML.slice(0, 120))`

// asText makes the JSON of an expression, or of what a promise gives.
const asText = `Promise.resolve(%s).then(value => JSON.stringify(value === undefined ? null : value))`

// touches and strokes are what the protocols of WebKit and Firefox take: a touch of a place, and keys one after the other.
// Source: W3C, WebDriver, 15 Actions; WebDriver BiDi has the same.
func touches(kind string, at spot) []any {
	return []any{map[string]any{"type": "pointer", "id": "finger", "parameters": map[string]string{"pointerType": kind}, "actions": []map[string]any{
		{"type": "pointerMove", "x": int(at.X), "y": int(at.Y), "origin": "viewport", "duration": 0},
		{"type": "pointerDown", "button": 0},
		{"type": "pointerUp", "button": 0},
	}}}
}

func strokes(text string) []any {
	var keys []map[string]string
	for _, letter := range text {
		keys = append(keys, map[string]string{"type": "keyDown", "value": string(letter)}, map[string]string{"type": "keyUp", "value": string(letter)})
	}
	return []any{map[string]any{"type": "key", "id": "keys", "actions": keys}}
}
