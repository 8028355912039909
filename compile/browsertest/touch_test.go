//go:build browser

package browsertest

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	spoken "github.com/chromedp/cdproto/accessibility"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// search types words, goes to a hit by a tap and to another by the keyboard.
func search(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	const hits = `[...document.querySelectorAll("#ui_search-hits a")].map(a => a.textContent)`
	for _, start := range []string{"index.html", s.first("machine/spiral-mixer.html")} {
		for _, enter := range []func(){
			func() { b.tap("#ui_search-hits li:first-child a") },
			func() { b.press(kb.ArrowDown); b.press(kb.Enter) },
		} {
			b.visit(s.file(start))
			b.tap("#ui_search-words")
			b.do(chromedp.KeyEvent("gearb"))
			b.waitFor(`document.querySelectorAll("#ui_search-hits a").length > 1`)
			found := eval[[]string](b, hits)
			for _, hit := range found {
				if !strings.Contains(strings.ToLower(hit), "gearb") {
					t.Errorf("hit %q has nothing of the words that were looked for", hit)
				}
			}
			enter()
			b.waitFor(fmt.Sprintf(`location.href.split("#")[0] !== %q && document.readyState === "complete"`, s.file(start)))
			if arrived := eval[string](b, `document.querySelector("main").textContent`); !strings.Contains(strings.ToLower(arrived), "gearb") {
				t.Errorf("the first of the hits %q leads to a page without it", found)
			}
		}
	}
	b.visit(s.file("index.html"))
	b.tap("#ui_search-words")
	b.do(chromedp.KeyEvent("qqqq"))
	b.waitFor(`document.querySelector("#ui_search-hits .hit-note") !== null`)
	if none := eval[[]string](b, hits); len(none) > 0 {
		t.Errorf("hits for a word that stands nowhere: %q", none)
	}
	b.searchAtWork(s)
	b.wantQuiet("file://" + s.dir)
}

// searchAtWork looks things up in the step view, with a slip too, and before a quiz: a row of the job leads there at once, a sheet, a
// thread and a torque are found, and each hit says where it stands.
func (b *tab) searchAtWork(s *site) {
	b.t.Helper()
	ask := func(words, want string) {
		b.t.Helper()
		b.waitFor(`document.querySelector("#ui_search-words") !== null`) // its script comes last
		b.waitFor(`(document.querySelector("#ui_search-words").value = "", document.querySelector("#ui_search-words").focus(), true)`)
		b.do(chromedp.KeyEvent(words))
		b.waitFor(fmt.Sprintf(`[...document.querySelectorAll("#ui_search-hits a")].some(a => a.textContent.includes(%q))`, want))
	}
	b.visit(s.file("procedure/mixer-gearbox-out/steps-belt.html"))
	b.waitFor(`document.querySelector(".hands") !== null`)
	b.tap("#ui_open-list")
	ask("torque sheet", "Torque sheet Put")
	ask("m8 18", "Hood screw, M8 × 20 mm, 18 N·m (13.3 lbf·ft)")
	ask("hood scrw", "Hood screw")
	if note := eval[string](b, `document.querySelector("#ui_search-hits .hit-note").textContent`); !strings.Contains(note, "scrw") {
		b.t.Errorf("a slip is answered by %q", note)
	}
	ask("hood screw", "Step 5")
	b.tap(`#ui_search-hits a[href="#hood-off--remove-1"]`)
	b.waitFor(`!document.querySelector("#ui_list").open && document.querySelector(".step.shown").id === "hood-off" && document.querySelector(".row.pointed") !== null`)
	b.visit(s.file("quiz/mixer-quiz/index.html"))
	ask("hoist", "Step")
}

// handsFull works with keys and ears: a presenter's keys turn one step each, a step is read aloud as it comes up, the view for a wall
// shows in large letters what is done now, and text grows and stays so.
func handsFull(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	b.before(`window.said = []; Object.defineProperty(window, "speechSynthesis", {value: {cancel() { said.length = 0; }, speak(u) { said.push(u.lang + ": " + u.text); }}});`)
	b.visit(s.file("procedure/mixer-gearbox-out/steps-belt.html") + "#belts-off")
	b.waitFor(`document.querySelector(".hands") !== null`)
	titles := eval[[]string](b, `[...document.querySelectorAll(".step h2")].map(h => h.lastChild.textContent)`)
	at := func(want int) {
		t.Helper()
		b.waitFor(fmt.Sprintf(`[...document.querySelectorAll(".step")].findIndex(e => e.matches(".shown")) === %d`, want))
	}
	b.tap("#ui_open-list")
	b.tap(".hands button:first-child")
	b.waitFor(`said.length > 3`)
	b.tap("#ui_close-list")
	now := slices.Index(titles, "Take the belts off")
	for _, turn := range []struct {
		key string
		way int
	}{{kb.ArrowRight, 1}, {kb.ArrowRight, 1}, {kb.ArrowLeft, -1}} {
		b.press(turn.key)
		now += turn.way
		at(now)
		if first := eval[string](b, `said[0]`); !strings.HasPrefix(first, "en: ") || !strings.HasSuffix(first, titles[now]) {
			t.Errorf("at %q is read %q", titles[now], first)
		}
	}
	b.tap("#ui_open-list")
	b.tap(".hands button:first-child")
	b.waitFor(`said.length === 0`)
	b.tap(".hands button:last-child")
	b.waitFor(`document.body.matches(".wall") && !document.querySelector("#ui_list").open`)
	for _, turn := range []struct {
		key string
		way int
	}{{kb.PageDown, 1}, {kb.PageDown, 1}, {kb.PageUp, -1}} {
		b.press(turn.key)
		now += turn.way
		at(now)
	}
	if size := eval[float64](b, `parseFloat(getComputedStyle(document.querySelector(".step.shown .row.now .told > span")).fontSize) / innerWidth`); size < 0.025 {
		t.Errorf("on a wall the act in hand is written %.3f of the screen's width high", size)
	}
	if wide := eval[int](b, `document.documentElement.scrollWidth - innerWidth`); wide > 0 {
		t.Errorf("on a wall the page is %d wider than the screen", wide)
	}
	b.press(kb.Escape)
	b.waitFor(`!document.body.matches(".wall")`)
	before := eval[float64](b, `parseFloat(getComputedStyle(document.documentElement).fontSize)`)
	eval[bool](b, `(() => { const c = document.querySelector("#ui_size-choice"); c.value = "largest"; c.dispatchEvent(new Event("change", {bubbles: true})); return true })()`)
	b.do(chromedp.Reload())
	b.waitFor(fmt.Sprintf(`parseFloat(getComputedStyle(document.documentElement).fontSize) > %g`, before*1.4))
	b.resize(768)
	if wide := eval[int](b, `document.documentElement.scrollWidth - innerWidth`); wide > 0 {
		t.Errorf("with the largest text the page is %d wider than the screen", wide)
	}
	b.wantQuiet("file://" + s.dir)
}

// tables sorts a register of a machine by one of its columns.
func tables(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	b.visit(s.file("machine/spiral-mixer.html"))
	const column = `[...document.querySelectorAll("table[data-sortable]")].find(t => t.rows.length > 6)`
	cells := func() []string {
		return eval[[]string](b, `[...`+column+`.tBodies[0].rows].map(r => r.cells[1].textContent)`)
	}
	eval[bool](b, column+`.tHead.rows[0].cells[1].querySelector("button").setAttribute("data-pressed", ""), true`)
	before := cells()
	ordered := slices.SortedFunc(slices.Values(before), func(a, b string) int { return strings.Compare(strings.ToLower(a), strings.ToLower(b)) })
	reversed := slices.Clone(ordered)
	slices.Reverse(reversed)
	for i, want := range [][]string{ordered, reversed, before} {
		b.tap("[data-pressed]")
		if got := cells(); !slices.EqualFunc(got, want, strings.EqualFold) {
			t.Errorf("after %d presses the column reads %q, want %q", i+1, got, want)
		}
	}
}

// figures goes from a balloon to its row and back, and looks at a picture in large.
func figures(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	b.visit(s.file("procedure/mixer-gearbox-out/steps-belt.html"))
	step := eval[string](b, `[...document.querySelectorAll(".step")].find(e => e.querySelector("a.balloon") && e.querySelector(".chip[data-show]")).id`)
	eval[string](b, fmt.Sprintf(`location.hash = %q`, step))
	b.waitFor(fmt.Sprintf(`document.getElementById(%q).matches(".shown")`, step))
	eval[bool](b, `document.querySelector(".step.shown a.balloon text").setAttribute("data-pressed", ""), true`)
	b.tap("[data-pressed]")
	thing := eval[string](b, `document.querySelector("[data-pressed]").closest(".balloon").dataset.thing`)
	b.waitFor(fmt.Sprintf(`[...document.querySelectorAll(".step.shown .row.pointed")].some(r => r.dataset.thing === %q)`, thing))
	eval[bool](b, `document.querySelector(".step.shown .chip[data-show]").setAttribute("data-chip", ""), true`)
	b.tap("[data-chip]")
	b.waitFor(`document.querySelector(".step.shown .balloon.pointed") !== null`)
	b.waitFor(`document.querySelector(".step.shown figcaption button") !== null`) // its script comes last
	eval[bool](b, `document.querySelector(".step.shown figcaption button").setAttribute("data-larger", ""), true`)
	b.tap("[data-larger]")
	b.waitFor(`document.querySelector("#ui_larger").open`)
	if large, small := eval[float64](b, `document.querySelector("#ui_larger img").clientWidth`), eval[float64](b, `document.querySelector(".step.shown .figure img").clientWidth`); large < small {
		t.Errorf("the picture in large is %g wide, in the step %g", large, small)
	}
	b.wantLargeTargets("picture in large")
	b.figureByHand()
	b.partOfFigure()
	b.wantSpoken()
	b.wantWholeRings()
	b.wantQuiet("file://" + s.dir)
}

// wantWholeRings checks that a balloon near the edge of its picture is not cut off there when it is picked out, which
// makes it larger: its outer ring is seen at its four ends.
func (b *tab) wantWholeRings() {
	b.t.Helper()
	near := 0
	for _, step := range eval[[]string](b, `[...document.querySelectorAll(".step:has(a.balloon.active)")].map(e => e.id)`) {
		eval[string](b, fmt.Sprintf(`location.hash = %q`, step))
		b.waitFor(fmt.Sprintf(`document.getElementById(%q).matches(".shown")`, step))
		found := eval[struct {
			Near int
			Cut  []string
		}](b, `(() => {
			const found = {Near: 0, Cut: []};
			for (const halo of document.querySelectorAll(".step.shown a.balloon .halo")) {
				const svg = halo.closest(".balloons"), ring = halo.getBoundingClientRect(), sheet = svg.getBoundingClientRect();
				if (ring.top >= sheet.top && ring.left >= sheet.left && ring.right <= sheet.right && ring.bottom <= sheet.bottom) continue;
				found.Near++;
				svg.scrollIntoView({block: "center", behavior: "instant"});
				const r = halo.getBoundingClientRect(), x = r.x + r.width / 2, y = r.y + r.height / 2;
				for (const [px, py] of [[x, r.top + 1], [x, r.bottom - 1], [r.left + 1, y], [r.right - 1, y]]) {
					if (!document.elementFromPoint(px, py).closest(".balloons")) found.Cut.push(halo.closest("a").getAttribute("aria-label"));
				}
			}
			return found;
		})()`)
		near += found.Near
		if len(found.Cut) > 0 {
			b.t.Errorf("step %s: cut off at the edge of the picture: %v", step, found.Cut)
		}
	}
	if near == 0 {
		b.t.Error("no balloon of the page grows beyond its picture")
	}
}

// wantSpoken checks that a balloon which the page draws by reference, in another step than its own drawing,
// is read out by its name.
func (b *tab) wantSpoken() {
	b.t.Helper()
	eval[string](b, `location.hash = [...document.querySelectorAll(".step")].find(e => e.querySelectorAll(".balloons > use").length > 2).id`)
	b.waitFor(`document.querySelector(".step.shown .balloons > use") !== null`)
	names := eval[[]string](b, `[...document.querySelectorAll(".step.shown .balloons > use")].map(e => document.querySelector(e.getAttribute("href")).getAttribute("aria-label"))`)
	tree, err := chromedp.Call(b.ctx, spoken.GetFullAXTree, spoken.GetFullAXTreeParams{})
	if err != nil {
		b.t.Fatal(err)
	}
	read := map[string]bool{}
	for _, n := range tree.Nodes {
		if !n.Ignored && n.Role != nil && n.Name != nil && string(n.Role.Value) == `"image"` {
			read[string(n.Name.Value)] = true
		}
	}
	for _, name := range names {
		if !read[strconv.Quote(name)] {
			b.t.Errorf("no picture is read out as %s, only %v", name, slices.Sorted(maps.Keys(read)))
		}
	}
}

// lensNow is how a figure in large is shown: how many times as large, and how far from the middle.
const lensNow = `(() => { const [, x, y, times] = document.querySelector(".frame .figure-sheet").style.transform.match(/translate\((.*)px, ?(.*)px\) scale\((.*)\)/) || [0, 0, 0, 1]; return [+times, +x, +y]; })()`

// figureByHand makes the figure in large larger by two fingers and by keys, and moves it by one finger and by keys; it never leaves the frame.
func (b *tab) figureByHand() {
	b.t.Helper()
	frame := eval[struct{ X, Y, Width, Height float64 }](b, `document.querySelector(".frame").getBoundingClientRect().toJSON()`)
	mid := spot{frame.X + frame.Width/2, frame.Y + frame.Height/2}
	b.fingers(func(part float64) []*input.TouchPoint {
		apart := 50 * (1 + part)
		return []*input.TouchPoint{{X: mid.X - apart, Y: mid.Y, ID: new(1.0)}, {X: mid.X + apart, Y: mid.Y, ID: new(2.0)}}
	})
	b.waitFor(`Math.abs(` + lensNow + `[0] - 2) < 0.05`)
	b.dragTouch(mid, spot{mid.X + 60, mid.Y + 40})
	b.waitFor(lensNow + `[1] > 30 && ` + lensNow + `[2] > 20`)
	if eval[bool](b, `!document.querySelector("#ui_part").hidden`) {
		b.t.Error("a finger that moves the figure opens a part")
	}
	for range 20 {
		b.press(kb.ArrowLeft)
	}
	if at := eval[[]float64](b, lensNow); math.Abs(at[1]-frame.Width/2*(at[0]-1)) > 1 {
		b.t.Errorf("moved as far as it goes, the figure stands %g beside the middle of a frame %g wide, %g times as large", at[1], frame.Width, at[0])
	}
	b.press("+")
	b.waitFor(lensNow + `[0] > 2.9`)
	for range 3 {
		b.press("-")
	}
	b.waitFor(lensNow + `[0] === 1 && ` + lensNow + `[1] === 0`)
}

// partOfFigure taps a fastener in the figure in large: its torque in both units, its thread and its bag are told; from there it is one
// touch to a finding on it and to its row.
func (b *tab) partOfFigure() {
	b.t.Helper()
	b.press(kb.Escape)
	b.waitFor(`!document.querySelector("#ui_larger").open`)
	eval[string](b, `location.hash = "hood-off"`)
	b.waitFor(`document.querySelector(".step.shown").id === "hood-off"`)
	open := func() {
		eval[bool](b, `document.querySelector("[data-larger]").removeAttribute("data-larger"), document.querySelector(".step.shown figcaption button").setAttribute("data-larger", ""), true`)
		b.tap("[data-larger]")
		b.waitFor(`document.querySelector("#ui_larger").open`)
		eval[bool](b, `document.querySelector('.frame .balloon[data-thing="1"] text').setAttribute("data-part", ""), true`)
		b.tap("[data-part]")
		b.waitFor(`!document.querySelector("#ui_part").hidden`)
	}
	open()
	told := eval[string](b, `document.querySelector("#ui_part").textContent`)
	for _, want := range []string{"Hood screw", "18 N·m (13.3 lbf·ft)", "M8 × 20 mm", "Bag 1", "Here, step 5"} {
		if !strings.Contains(told, want) {
			b.t.Errorf("of the hood screw is told %q, without %q", told, want)
		}
	}
	b.wantLargeTargets("part of a figure")
	b.tap("#ui_part .main")
	b.waitFor(`document.querySelector("#ui_finding").open && document.querySelector('[data-pick="thing 1"]').getAttribute("aria-pressed") === "true"`)
	b.press(kb.Escape)
	b.waitFor(`!document.querySelector("#ui_finding").open`)
	open()
	b.tap("#ui_part .part-steps button")
	b.waitFor(`!document.querySelector("#ui_larger").open && document.querySelector('.step.shown .row.pointed[data-thing="1"]') !== null`)
}

// firstScreen begins two jobs: who works and on which machine is written once, and is a tap away in the next job; the first tick ends
// the asking. The start page then leads back to the step that is open, and the course says what is done.
func firstScreen(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	write := func(field, text string) {
		t.Helper()
		b.waitFor(fmt.Sprintf(`document.querySelector(%q) !== null`, field))
		b.waitFor(fmt.Sprintf(`(document.querySelector(%q).focus(), true)`, field))
		b.do(chromedp.KeyEvent(text), chromedp.KeyEvent(kb.Tab))
	}
	b.visit(s.file("procedure/blower-motor-out/steps.html"))
	write("#ui_begin-people", "Ada, Ben")
	write("#ui_begin-machine", "No. 4")
	b.visit(s.file("procedure/sheeter-roller-out/steps.html"))
	b.waitFor(`document.querySelector(".begin") !== null`)
	if asked := eval[[]string](b, `[...document.querySelectorAll(".begin button")].map(e => e.textContent)`); !slices.Equal(asked, []string{"Ada", "Ben", "Forget these names"}) {
		t.Errorf("another kind of machine asks with %q", asked)
	}
	b.visit(s.file("procedure/blower-motor-out/steps.html"))
	b.waitFor(`document.querySelector(".begin") !== null`)
	press := func(name string) {
		t.Helper()
		b.waitFor(fmt.Sprintf(`(b => b && (b.click(), true))([...document.querySelectorAll(".begin button")].find(b => b.textContent === %q))`, name))
	}
	press("Ben") // taken out
	press("No. 4")
	press("No. 4") // and in again
	if got := eval[[]string](b, `["people", "machine"].map(what => document.querySelector("#ui_begin-" + what).value)`); !slices.Equal(got, []string{"Ada", "No. 4"}) {
		t.Errorf("a tap each gives %q", got)
	}
	if r := b.record(); r.Machine.Value != "No. 4" {
		t.Errorf("the record is of machine %q", r.Machine.Value)
	}
	b.tap(".step.shown .row input[data-tick], .step.shown .row input[data-hold]")
	b.waitFor(`document.querySelector(".begin") === null`)

	eval[bool](b, confirmAll)
	b.tap("#ui_next")
	b.waitFor(`!document.querySelector(".step").matches(".shown") || (document.querySelector("#ui_next").click(), false)`)
	b.visit(s.file("index.html"))
	b.waitFor(`document.querySelector(".going.main strong") !== null`)
	if words, to := eval[string](b, `document.querySelector(".going.main strong").textContent`), eval[string](b, `document.querySelector(".going.main").href`); !strings.HasPrefix(words, "Go on: step 2 of ") || !strings.HasSuffix(to, "procedure/blower-motor-out/steps.html") {
		t.Errorf("the start page says %q and leads to %s", words, to)
	}
	eval[bool](b, `(matchmark.store.set("matchmark.place.blower-motor-out/steps.html", JSON.stringify({number: 15, of: 15, done: true, at: 1, title: "x"})), true)`)
	b.visit(s.file("course/blower-motor.html"))
	b.waitFor(`document.querySelector(".course-progress") !== null`)
	if done := eval[int](b, `document.querySelectorAll(".entry.is-done .entry-done").length`); done != 1 {
		t.Errorf("the course says that %d of it are done", done)
	}
}
