//go:build browser

package browsertest

import (
	"bufio"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"gotest.tools/v3/assert"

	"matchmark/compile/starter"
	"matchmark/procedure"
	"matchmark/procedure/balloon"
)

// TestBalloonsPlacedByHand moves balloons in the page of a running `matchmark watch`, as an
// author does, and looks at every byte of the source.
func TestBalloonsPlacedByHand(t *testing.T) {
	inTestAll(t)
	w := startWatch(t)
	b := openTab(t, newProfile(t))
	place := func() {
		t.Helper()
		b.waitFor(`document.querySelectorAll(".preview-overlay").length > 0`)
	}
	b.visit(w.address + "machine/bench-drill.html")
	b.click(`[data-figure="head-left"] .preview-switch`)
	place()

	// With the mouse: the second of three balloons.
	before := w.source()
	from, to := b.unit("head-left", 300, 35), b.unit("head-left", 251, 60)
	b.dragMouse(from, to)
	w.wantMoved(before, "balloon 300,35", "balloon ", 251, 60)
	upTo, _, _ := strings.Cut(before, "balloon 300,35")
	moved := fmt.Sprintf("machines/bench-drill.md:%d", 1+strings.Count(upTo, "\n"))
	b.waitFor(`document.querySelector(".preview-note").textContent.includes(` + fmt.Sprintf("%q", moved) + `)`)
	b.waitReloaded()
	place()
	if top := eval[float64](b, `scrollY`); top < 50 {
		t.Errorf("after the reload the page stands at %g", top)
	}
	b.waitFor(`document.activeElement.getAttribute("aria-label").startsWith("Balloon C: 25") && document.querySelector(".preview-note").textContent.includes("Written")`)

	// A press that does not move picks and writes nothing; arrow keys move, Escape takes back, Enter writes.
	before = w.source()
	b.pressUntil(kb.Tab, `document.activeElement.matches('[data-figure="drive-above"] .preview-handle') && document.activeElement.getAttribute("aria-label") === "Balloon 2: 545,200"`)
	b.press(kb.ArrowRight)
	b.press(kb.ArrowRight)
	b.waitFor(`document.querySelector(".preview-note").textContent === "Balloon 2: 547,200"`)
	b.press(kb.Escape)
	b.waitFor(`document.activeElement.getAttribute("aria-label") === "Balloon 2: 545,200"`)
	if w.source() != before {
		t.Error("what was taken back is written")
	}
	b.press(kb.ArrowLeft)
	b.do(chromedp.KeyEvent(kb.ArrowDown, chromedp.KeyModifiers(chromedp.ModifierShift)))
	b.press(kb.Enter)
	w.wantSource(strings.Replace(before, "balloon 545,200", "balloon 544,210", 1))
	b.waitReloaded()
	place()

	// By undo the file is what it was before, byte for byte.
	b.click(".preview-tools .preview-button:first-child")
	w.wantSource(before)
	b.waitReloaded()
	place()

	// A click gives a position that a line can be made of.
	at := b.unit("drive-above", 150, 320)
	b.do(chromedp.MouseClickXY(at.X, at.Y))
	b.waitFor(`/^at \d+,\d+ balloon \d+,\d+$/.test(document.querySelector(".preview-position").innerText)`)
	position := eval[string](b, `document.querySelector(".preview-position").innerText`)
	var x, y, labelX, labelY float64
	if _, err := fmt.Sscanf(position, "at %g,%g balloon %g,%g", &x, &y, &labelX, &labelY); err != nil || math.Hypot(x-150, y-320) > 3 {
		t.Errorf("the position is %q, %v", position, err)
	}
	line := "- 2 at 420,106 420,294 balloon 545,200\r\n"
	w.save(strings.Replace(w.source(), line, line+"- 1 "+position+"\r\n", 1))
	b.waitReloaded()
	place()
	b.waitFor(fmt.Sprintf(`[...document.querySelectorAll('[data-figure="drive-above"] .preview-handle')].some(h => h.getAttribute("aria-label") === "Balloon 1: %g,%g")`, labelX, labelY))
	b.waitFor(`!!document.querySelector('[data-figure="drive-above"] .balloon[data-thing="1"]')`)

	b.severalOnOneFigure(w)

	// Somebody changes the line while it is dragged: nothing is written over it.
	from, to = b.unit("drive-above", 545, 200), b.unit("drive-above", 500, 250)
	b.mouse(chromedp.MousePressed, from)
	b.mouse(chromedp.MouseMoved, to)
	changed := strings.Replace(w.source(), "balloon 545,200", "balloon 546,201", 1)
	w.save(changed)
	w.waitCompiled()
	b.mouse(chromedp.MouseReleased, to)
	b.waitReloaded() // which had waited for the hand
	place()
	w.wantSource(changed)
	b.waitFor(`[...document.querySelectorAll(".preview-handle")].some(h => h.getAttribute("aria-label") === "Balloon 2: 546,201")`)

	// In the step view, by touch: the end of a leader, and the page stays at its step.
	b.visit(w.address + "procedure/drill-belt-off/steps.html#belt-off")
	place()
	before = w.source()
	step := `.step.shown [data-figure="drive-above"]`
	from, to = b.unitIn(step, 420, 294), b.unitIn(step, 400, 270)
	b.dragTouch(from, to)
	w.wantMoved(before, "420,294 balloon", "", 400, 270)
	b.waitReloaded()
	place()
	b.waitFor(`document.querySelector(".step.shown").id === "belt-off"`)
	// The bar does not cover the way to other steps.
	b.click("#ui_back")
	b.waitFor(`document.querySelector(".step.shown").id !== "belt-off"`)
	b.click(".preview-tools .preview-button:last-child")
	b.waitFor(`!document.querySelector(".preview-overlay, .preview-author")`)
}

// severalOnOneFigure drags two balloons of a figure, the second across the leader of a third that has no place in the
// source: that one gets out of the way, and comes back when the second is taken back by keyboard.
func (b *tab) severalOnOneFigure(w *watched) {
	b.t.Helper()
	const line = "- head at 60,90 balloon 150,28\r\n"
	w.save(strings.Replace(w.source(), line, line+"- belt at 150,200\r\n", 1))
	b.waitReloaded()
	drawn := b.leaders("belt", "head", 150, 28)
	belt, head := drawn["belt"], drawn["head"]

	before := w.source()
	b.dragMouse(b.unit("drive-above", 600, 290), b.unit("drive-above", 560, 340))
	w.wantMoved(before, "balloon 600,290", "balloon ", 560, 340)
	b.waitReloaded()
	b.leaders("belt", "motor", 560, 340)

	// Along a line from what the head's leader ends on, through the middle of the belt's leader, and beyond it.
	beyond := func(end, label, target float64) float64 { return math.Round(end + 1.25*((label+target)/2-end)) }
	x, y := beyond(head.To.X, belt.From.X, belt.To.X), beyond(head.To.Y, belt.From.Y, belt.To.Y)
	if !balloon.Cross(procedure.Point{X: x, Y: y}, head.To, belt.From, belt.To) {
		b.t.Fatalf("a head's leader from %g,%g does not cross the belt's, %v: the test shows nothing", x, y, belt)
	}
	first := w.source()
	b.dragMouse(b.unit("drive-above", 150, 28), b.unit("drive-above", x, y))
	w.wantMoved(first, "balloon 150,28", "balloon ", x, y)
	b.waitReloaded()
	drawn = b.leaders("belt", "head", x, y)
	if drawn["belt"].From == belt.From {
		b.t.Error("the balloon without a place stayed under the other's leader")
	}
	for name, l := range drawn {
		for other, m := range drawn {
			if balloon.Cross(l.From, l.To, m.From, m.To) {
				b.t.Errorf("the leaders of %s and %s cross: %v, %v", name, other, l, m)
			}
		}
	}
	if !strings.Contains(w.source(), "- belt at 150,200\r\n") {
		b.t.Error("the place that the program gave is written into the source")
	}

	b.tabTo(".preview-tools .preview-button:first-child")
	b.press(kb.Enter)
	w.wantSource(first) // the first stays where it was dragged to
	b.waitReloaded()
	if back := b.leaders("belt", "head", 150, 28)["belt"]; back != belt {
		b.t.Errorf("the belt's leader was %v and came back as %v", belt, back)
	}
}

// leader is a line of a figure, from a balloon's middle to what it names.
type leader struct{ From, To procedure.Point }

// leaders waits until a balloon stands near x,y in the page's own drawing of the figure drive-above, and another one is
// drawn too. It returns the leaders of all by what they name; several of one balloon are numbered.
func (b *tab) leaders(too, moved string, x, y float64) map[string]leader {
	b.t.Helper()
	var all map[string]leader
	if !until(b.t, forPage, func() bool {
		drawn, err := chromedp.Run(b.ctx, chromedp.Evaluate[map[string]leader](drawnLeaders))
		at := drawn[moved].From
		all = drawn
		return err == nil && drawn[too] != leader{} && math.Hypot(at.X-x, at.Y-y) <= 3
	}) {
		b.t.Fatalf("%s is not drawn near %g,%g, or %s is not drawn: %v", moved, x, y, too, all)
	}
	return all
}

const drawnLeaders = `Object.fromEntries([...document.querySelectorAll('[data-figure="drive-above"] .balloon')].flatMap(balloon => {
	const [X, Y] = balloon.querySelector(":scope > g:last-of-type").getAttribute("transform").match(/[\d.]+/g).map(Number);
	return [...balloon.querySelectorAll(":scope > circle")].map((end, i) =>
		[balloon.dataset.thing + (i ? " " + i : ""), {From: {X, Y}, To: {X: +end.getAttribute("cx"), Y: +end.getAttribute("cy")}}]);
}))`

// TestBalloonsWithoutClipboard: the text is selected instead.
func TestBalloonsWithoutClipboard(t *testing.T) {
	inTestAll(t)
	w := startWatch(t)
	b := openTab(t, newProfile(t))
	b.visit(w.address + "machine/bench-drill.html")
	b.click(`[data-figure="head-left"] .preview-switch`)
	b.waitFor(`!!document.querySelector(".preview-overlay")`)
	eval[any](b, `Object.defineProperty(navigator, "clipboard", {value: undefined})`)
	at := b.unit("head-left", 100, 300)
	b.do(chromedp.MouseClickXY(at.X, at.Y))
	b.waitFor(`document.querySelector(".preview-position").innerText.startsWith("at ")`)
	b.click(".preview-position + .preview-button")
	b.waitFor(`getSelection().toString() === document.querySelector(".preview-position").innerText`)
}

// watched is a library that the command watches. Its machine file begins with a byte-order mark and has CRLF.
type watched struct {
	t       *testing.T
	address string
	machine string
	lines   chan string
}

func startWatch(t *testing.T) *watched {
	t.Helper()
	dir := t.TempDir()
	bin, library := buildCommand(t), filepath.Join(dir, "library")
	if _, err := starter.Write(library); err != nil {
		t.Fatal(err)
	}
	w := &watched{t: t, machine: filepath.Join(library, "machines", "bench-drill.md"), lines: make(chan string, 100)}
	w.save("\ufeff" + strings.ReplaceAll(w.source(), "\n", "\r\n"))

	watch := exec.Command(bin, "watch", library, "-o", filepath.Join(dir, "site"), "--serve", "0")
	out, err := watch.StdoutPipe()
	assert.NilError(t, err)
	assert.NilError(t, watch.Start())
	go func() {
		defer close(w.lines)
		for scan := bufio.NewScanner(out); scan.Scan(); {
			w.lines <- scan.Text()
		}
	}()
	t.Cleanup(func() {
		watch.Process.Signal(syscall.SIGTERM)
		for range w.lines {
		}
		if err := watch.Wait(); err != nil {
			t.Errorf("watch ended with %v", err)
		}
	})
	w.address = w.line(`http://\S+/`)
	return w
}

// line waits for a line of the command's with what the pattern says, and returns that.
func (w *watched) line(pattern string) string {
	w.t.Helper()
	late := time.After(patience(w.t, forNetwork))
	for {
		select {
		case line, open := <-w.lines:
			if found := regexp.MustCompile(pattern).FindString(line); found != "" {
				return found
			}
			if !open {
				w.t.Fatalf("the command ended without %s", pattern)
			}
		case <-late:
			w.t.Fatalf("the command does not say %s", pattern)
		}
	}
}

// waitCompiled forgets what was said so far and waits for a compile.
func (w *watched) waitCompiled() {
	w.t.Helper()
	for {
		select {
		case <-w.lines:
			continue
		default:
		}
		break
	}
	w.line(`^\d\d:\d\d:\d\d `)
}

func (w *watched) source() string {
	w.t.Helper()
	content, err := os.ReadFile(w.machine)
	if err != nil {
		w.t.Fatal(err)
	}
	return string(content)
}

func (w *watched) save(content string) {
	w.t.Helper()
	if err := os.WriteFile(w.machine, []byte(content), 0o666); err != nil {
		w.t.Fatal(err)
	}
}

// wantSource waits until the source is what it should be.
func (w *watched) wantSource(want string) {
	w.t.Helper()
	if !until(w.t, forPage, func() bool { return w.source() == want }) {
		w.t.Fatalf("the source is\n%s\nwant\n%s", w.source(), want)
	}
}

// wantMoved waits until the one point in `was` is another, near x,y, and wants every other byte
// as before. keep is what stands before the point in `was`.
func (w *watched) wantMoved(before, was, keep string, x, y float64) {
	w.t.Helper()
	head, tail, _ := strings.Cut(before, was)
	_, behind, _ := strings.Cut(was[len(keep):], " ")
	if behind != "" {
		tail = " " + behind + tail
	}
	head += keep
	until(w.t, forPage, func() bool { return w.source() != before })
	rest, okHead := strings.CutPrefix(w.source(), head)
	point, okTail := strings.CutSuffix(rest, tail)
	var atX, atY float64
	if _, err := fmt.Sscanf(point, "%g,%g", &atX, &atY); !okHead || !okTail || err != nil ||
		math.Hypot(atX-x, atY-y) > 3 || point != fmt.Sprintf("%g,%g", math.Round(atX), math.Round(atY)) {
		w.t.Fatalf("%q became %q, %v, %v, %v; want near %g,%g", was, point, okHead, okTail, err, x, y)
	}
}

// unit returns where a place of a figure, in the picture's units, is in the window.
func (b *tab) unit(figure string, x, y float64) spot {
	b.t.Helper()
	return b.unitIn(fmt.Sprintf(`[data-figure=%q]`, figure), x, y)
}

func (b *tab) unitIn(selector string, x, y float64) spot {
	b.t.Helper()
	b.waitFor(fmt.Sprintf(`!!document.querySelector(%q)`, selector+" .preview-overlay"))
	eval[any](b, fmt.Sprintf(`document.querySelector(%q).scrollIntoView({block: "center", behavior: "instant"})`, selector))
	return eval[spot](b, fmt.Sprintf(`(() => {
		const p = new DOMPoint(%g, %g).matrixTransform(document.querySelector(%q).getScreenCTM());
		return {X: p.x, Y: p.y};
	})()`, x, y, selector+" .preview-overlay"))
}

func (b *tab) mouse(kind input.DispatchMouseEventType, at spot) {
	b.t.Helper()
	held := func(p *input.DispatchMouseEventParams) {
		p.Buttons, p.ClickCount = 1, 1
		if kind == chromedp.MouseReleased {
			p.Buttons = 0
		}
	}
	b.do(chromedp.MouseEvent(kind, at.X, at.Y, chromedp.ButtonLeft, held))
}

// dragMouse drags with the left button held.
func (b *tab) dragMouse(from, to spot) {
	b.t.Helper()
	b.mouse(chromedp.MousePressed, from)
	b.mouse(chromedp.MouseMoved, spot{(from.X + to.X) / 2, (from.Y + to.Y) / 2})
	b.mouse(chromedp.MouseMoved, to)
	b.mouse(chromedp.MouseReleased, to)
}

// dragTouch drags with a finger.
func (b *tab) dragTouch(from, to spot) {
	b.t.Helper()
	b.fingers(func(part float64) []*input.TouchPoint {
		return []*input.TouchPoint{{X: from.X + (to.X-from.X)*part, Y: from.Y + (to.Y-from.Y)*part}}
	})
}

// fingers touches the screen, moves from where at says that fingers begin (0) to where they end (1), and lets go.
func (b *tab) fingers(at func(part float64) []*input.TouchPoint) {
	b.t.Helper()
	send := func(kind input.DispatchTouchEventType, points ...*input.TouchPoint) {
		b.t.Helper()
		if _, err := chromedp.Call(b.ctx, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: points}); err != nil {
			b.t.Fatal(err)
		}
	}
	send(input.DispatchTouchEventTypeTouchStart, at(0)...)
	for i := range 5 {
		send(input.DispatchTouchEventTypeTouchMove, at(float64(i+1)/5)...)
	}
	send(input.DispatchTouchEventTypeTouchEnd, []*input.TouchPoint{}...)
}

// waitReloaded waits until the page has been loaded since the last call, or since the page was visited.
func (b *tab) waitReloaded() {
	b.t.Helper()
	b.waitFor(`performance.getEntriesByType("navigation")[0].type === "reload" && !window.seenBefore && document.readyState === "complete"`)
	eval[any](b, `window.seenBefore = true`)
}
