//go:build browser

package browsertest

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// confirmAll gives all hold points of the job that is open, so that no step is read ahead.
const confirmAll = `(document.querySelectorAll("[data-hold]").forEach(i => {
	if (i.type === "checkbox") i.checked = true; else i.value = "AB";
	i.dispatchEvent(new Event("input", {bubbles: true}));
}), true)`

// outOfSight lists what of the step that is shown should stand between the clock and the bar, and does not: the cautions
// that lead, the figures, the act in hand and the next one; and a pane that goes on beyond its edge without a sign.
const outOfSight = `(() => {
	const step = document.querySelector(".step.shown"), pane = step.querySelector(".work").getBoundingClientRect(), found = [];
	const top = document.querySelector("#ui_clock-bar").getBoundingClientRect().bottom, bottom = document.querySelector("#ui_step-bar").getBoundingClientRect().top;
	function want(selector, what, within) {
		for (const e of step.querySelectorAll(selector)) {
			const box = e.getBoundingClientRect();
			if (box.top < Math.max(top, within ? pane.top : 0) - 1 || box.bottom > Math.min(bottom, within ? pane.bottom : Infinity) + 1) found.push(what);
		}
	}
	want(":scope > .lead .signal", "caution");
	want(":scope > .pictures .figure-sheet", "figure");
	want(".row.now", "act in hand", true);
	want(".row.coming", "next act", true);
	return found;
})()`

// unsigned lists faults that no step may have: a way on or a clock off the screen, and more below an edge without a sign.
const unsigned = `(() => {
	const step = document.querySelector(".step.shown"), work = step.querySelector(".work"), found = [];
	const next = document.querySelector("#ui_next").getBoundingClientRect(), clock = document.querySelector(".clocks").getBoundingClientRect();
	if (next.bottom > innerHeight + 1 || next.right > innerWidth + 1) found.push("Next is off the screen");
	if (clock.top < 0) found.push("the clock is off the screen");
	if (work.scrollHeight > work.clientHeight + 1 && !step.querySelector(".beyond").checkVisibility()) found.push("more below without a sign");
	if (document.documentElement.scrollWidth > innerWidth) found.push("wider than the screen");
	return found;
})()`

// oneScreen looks at every step of the demo on a tablet in both positions: in nine of ten, what is needed now stands on
// the screen without scrolling.
func oneScreen(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	for _, width := range []int{768, 1024} {
		steps, missed := 0, []string{}
		for _, page := range s.pages {
			if !strings.Contains(page, "/steps") {
				continue
			}
			b.resize(width)
			b.visit(s.file(page))
			eval[bool](b, confirmAll)
			for _, id := range eval[[]string](b, `[...document.querySelectorAll(".step:not(#ui_end)")].map(e => e.id)`) {
				b.step(id)
				b.waitForPromise(`new Promise(drawn => requestAnimationFrame(() => requestAnimationFrame(() => drawn(true))))`)
				steps++
				if gone := eval[[]string](b, outOfSight); len(gone) > 0 {
					missed = append(missed, fmt.Sprintf("%s#%s: %v", page, id, gone))
				}
				for _, fault := range eval[[]string](b, unsigned) {
					t.Errorf("%d wide, %s#%s: %s", width, page, id, fault)
				}
			}
		}
		if steps < 50 {
			t.Errorf("only %d steps were looked at", steps)
		}
		if len(missed)*10 > steps {
			t.Errorf("%d wide, %d of %d steps do not stand on one screen:\n%s", width, len(missed), steps, strings.Join(missed, "\n"))
		}
	}
}

// narrow looks at one page of each kind 320 pixels wide, as on a small phone or on a screen of 1280 pixels at 400 % (WCAG
// 2.2, 1.4.10): nothing scrolls sideways. In the step view that holds for each step, and the way on stays on the screen.
func narrow(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	b.do(chromedp.EmulateViewport(320, 640))
	for _, page := range s.oneOfEachKind(t) {
		b.visit(s.file(page))
		if wide := eval[int](b, `(document.querySelectorAll(".fold").forEach(e => e.open = true), document.documentElement.scrollWidth)`); wide > 320 {
			t.Errorf("%s is %d wide on a screen of 320", page, wide)
		}
	}
	folds(b, s.file("machine/spiral-mixer.html"))
	b.visit(s.file(s.first("procedure/mixer-gearbox-out/steps*.html")))
	eval[bool](b, confirmAll)
	for _, height := range []int64{640, 256} {
		b.do(chromedp.EmulateViewport(320, height))
		for _, id := range eval[[]string](b, `[...document.querySelectorAll(".step:not(#ui_end)")].map(e => e.id)`) {
			b.step(id)
			for _, fault := range eval[[]string](b, `(() => {
				const box = e => document.querySelector(e).getBoundingClientRect(), next = box("#ui_next"), pause = box("#ui_pause"), clock = box(".clocks"), found = [];
				if (document.documentElement.scrollWidth > 320) found.push("wider than the screen");
				if (next.right > 321 || next.bottom > innerHeight + 1) found.push("Next is off the screen");
				if (pause.left < clock.right - 1 && pause.bottom > clock.top + 1 && pause.top < clock.bottom - 1) found.push("Pause covers the clock");
				return found;
			})()`) {
				t.Errorf("320 by %d, step %s: %s", height, id, fault)
			}
		}
	}
}

// folds looks at a machine on a phone: its registers are folded, and a link into one opens that one and leads to its row.
func folds(b *tab, machine string) {
	b.t.Helper()
	b.visit(machine)
	if open := eval[int](b, `document.querySelectorAll(".fold[open]").length`); open > 0 || !eval[bool](b, `document.querySelectorAll(".fold").length > 4`) {
		b.t.Errorf("%d registers of a machine are open on a phone", open)
	}
	row := eval[string](b, `location.hash = document.querySelector(".register tbody tr:last-child").id`)
	b.waitFor(fmt.Sprintf(`(e => e.checkVisibility() && e.getBoundingClientRect().top < innerHeight && document.querySelectorAll(".fold[open]").length === 1)(document.getElementById(%q))`, strings.TrimPrefix(row, "#")))
}

// linkAhead opens a link into the middle of a job: it is read, and nothing is ticked or timed, until somebody says that
// the work stands there. A page key shows what lies beyond the edge before it turns to the next step.
func linkAhead(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	page := s.file("procedure/mixer-gearbox-out/steps-belt.html")
	b.visit(page + "#lock-out")
	b.waitFor(`document.querySelector(".step.shown").id === "lock-out"`)
	if free := eval[int](b, `document.querySelectorAll(".step.shown [data-tick]:not(:disabled)").length`); free > 0 {
		t.Errorf("%d boxes of a step that is read ahead can be ticked", free)
	}
	if at := eval[string](b, `matchmark.job.step()`); at != "" {
		t.Errorf("the job stands at %q although its step was only read", at)
	}
	b.tap("#ui_notices button")
	b.waitFor(`matchmark.job.step() === "lock-out" && document.querySelector(".step.shown [data-tick]:not(:disabled)") !== null`)
	b.do(chromedp.Reload())
	b.waitFor(`document.querySelector(".step.shown [data-tick]:not(:disabled)") !== null`)

	eval[bool](b, confirmAll)
	b.resize(1024)
	const id = "left-foot-off" // which has more rows than a screen
	b.step(id)
	b.press(kb.PageDown)
	if is := eval[bool](b, fmt.Sprintf(`document.getElementById(%q).matches(".shown") && document.querySelector(".step.shown .work").scrollTop > 0`, id)); !is {
		t.Errorf("PageDown in step %s turned the page over rows that were not seen", id)
	}
	b.wantQuiet("file://" + s.dir)
}
