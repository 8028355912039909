//go:build browser

package browsertest

import (
	"fmt"
	"testing"
)

// smallTargets lists what is to be touched and is smaller than 48 CSS pixels
// either way. A box counts with its label, which can be touched as well. Links in
// the middle of a sentence are let off, as WCAG 2.2, 2.5.8 does ("Inline"). So are
// the balloons of a figure, each of which has its number in a row beside it
// (2.5.8, "Equivalent").
const smallTargets = `[...document.querySelectorAll("a[href], button, input, select, textarea, summary, [role=button], [tabindex='0']")]
	.filter(e => e.checkVisibility({visibilityProperty: true}) && !e.closest(".balloon") && !e.matches(".skip"))
	.filter(e => !(e.matches("a") && getComputedStyle(e).display === "inline" && e.closest("p, li, dd, td") &&
		e.closest("p, li, dd, td").textContent.trim() !== e.textContent.trim()))
	.map(e => {
		const boxes = [e, ...(e.labels || [])].map(x => x.getBoundingClientRect()).filter(b => b.width > 0);
		if (boxes.length === 0) return "";
		const width = Math.max(...boxes.map(b => b.right)) - Math.min(...boxes.map(b => b.left));
		const height = Math.max(...boxes.map(b => b.height));
		return width < 47.9 || height < 47.9 ? Math.round(width) + "×" + Math.round(height) + " " + e.outerHTML.slice(0, 100) : "";
	}).filter(Boolean)`

// blankButtons lists what is to be touched and shows nothing: no words, no picture and no sign. A sign is drawn
// by lines, 12 CSS pixels wide and high at least, or is a mask or a picture of the style sheet.
const blankButtons = `[...document.querySelectorAll("a[href], button, summary, [role=button]")]
	.filter(e => e.checkVisibility({visibilityProperty: true}) && !e.closest(".balloon") && !e.matches(".skip"))
	.filter(e => {
		if ((e.innerText ?? e.textContent).trim() !== "" || e.querySelector("img")) return false;
		if (["::before", "::after"].some(part => {
			const style = getComputedStyle(e, part);
			return style.content !== "none" && style.content !== "normal" &&
				(style.content.replace(/"/g, "").trim() !== "" || style.maskImage !== "none" || style.backgroundImage !== "none");
		})) return false;
		return ![...e.querySelectorAll("svg")].some(sign => {
			const box = sign.getBoundingClientRect();
			return box.width >= 12 && box.height >= 12 && [...sign.querySelectorAll("path, line, circle")].some(line => getComputedStyle(line).stroke !== "none");
		});
	}).map(e => e.outerHTML.slice(0, 150))`

// targets measures everything that is to be touched: in each step of the step
// view with its dialogs, and on the other screens, on a tablet in both positions.
func targets(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	for _, width := range []int{768, 1024} {
		b.visit(s.file(s.first("procedure/mixer-gearbox-out/steps*.html")))
		b.resize(width)
		for _, id := range eval[[]string](b, `[...document.querySelectorAll(".step")].map(e => e.id)`) {
			eval[string](b, fmt.Sprintf(`location.hash = %q`, id))
			b.waitFor(fmt.Sprintf(`document.getElementById(%q).matches(".shown")`, id))
			b.wantLargeTargets("step " + id)
		}
		b.click("#ui_open-list")
		b.click("#ui_start-over")
		b.wantLargeTargets("list of steps")
		for _, page := range s.pages {
			if s.isScreen(page) {
				b.visit(s.file(page))
				b.wantLargeTargets(page)
			}
		}
	}
}

// wantLargeTargets checks the size of what is to be touched, and that there is something to see on it.
func (b *tab) wantLargeTargets(where string) {
	b.t.Helper()
	if count := eval[int](b, `document.querySelectorAll("a[href], button, input").length`); count == 0 {
		b.t.Errorf("%s has nothing to touch", where)
	}
	for _, small := range eval[[]string](b, smallTargets) {
		if !b.small[small] { // once is enough
			b.t.Errorf("%s: target of %s", where, small)
		}
		b.small[small] = true
	}
	for _, blank := range eval[[]string](b, blankButtons) {
		if !b.small[blank] {
			b.t.Errorf("%s: nothing is to be seen on %s", where, blank)
		}
		b.small[blank] = true
	}
}
