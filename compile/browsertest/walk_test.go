//go:build browser

package browsertest

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// place is where the step view stands.
type place struct {
	Step  string // id of the step that is shown
	Ticks int    // ticks in the whole job that are set
	Open  []string
	// Values are the fields for values that are not read off yet, with a value that is within limits.
	Values []struct{ ID, Good string }
	Holds  []string
	Signs  []string
}

const placeNow = `(() => {
	const ids = selector => [...document.querySelectorAll(".step.shown " + selector)].map(e => e.id);
	return {
		Step: document.querySelector(".step.shown").id,
		Ticks: document.querySelectorAll("[data-tick]:checked, [data-hold]:checked").length,
		Open: ids("[data-tick]:not(:checked)"),
		Values: [...document.querySelectorAll(".step.shown [data-measure]")].filter(e => !e.value)
			.map(e => ({ID: e.id, Good: e.closest(".row").dataset.low || e.closest(".row").dataset.high})),
		Holds: ids("[data-hold][type=checkbox]:not(:checked)"),
		Signs: ids("[data-hold][type=text]"),
	};
})()`

// walkByClicks is a newcomer's walk: from the start page through all steps of
// the mixer procedure, by clicks but for signatures, with a break in between.
func walkByClicks(t *testing.T, s *site) {
	profile := newProfile(t)
	b := openTab(t, profile)
	b.visit(s.file("index.html"))
	b.enterMixer()
	steps := eval[int](b, `document.querySelectorAll("#ui_steps > .step").length - 1`)
	if steps < 20 {
		t.Errorf("the mixer procedure has %d steps, want 20 at least", steps)
	}
	for range 6 {
		b.doStep()
	}
	// Half of a step, then the tablet is put away.
	half := eval[place](b, placeNow)
	b.click("#" + half.Open[0])
	before := eval[place](b, placeNow)
	if before.Ticks == 0 {
		t.Fatal("nothing was ticked on the way")
	}
	b.wantQuiet("file://" + s.dir)
	b.close()

	b = openTab(t, profile)
	b.visit(s.file("index.html"))
	b.enterMixer()
	if after := eval[place](b, placeNow); after.Step != before.Step || after.Ticks != before.Ticks {
		t.Errorf("after a break at step %s with %d ticks the page stands at %s with %d", before.Step, before.Ticks, after.Step, after.Ticks)
	}
	holds := 0
	for n := 0; eval[place](b, placeNow).Step != "ui_end"; n++ {
		if n > steps {
			t.Fatal("the walk does not come to its end")
		}
		holds += b.doStep()
	}
	if holds == 0 {
		t.Error("no hold point on the way")
	}
	if left := eval[[]string](b, `[...document.querySelectorAll("[data-tick]:not(:checked)")].map(e => e.id)`); len(left) > 0 {
		t.Errorf("at the end %d ticks are open: %v", len(left), left)
	}
	if list := eval[int](b, `document.querySelectorAll("#ui_end-list li").length`); list > 0 {
		t.Errorf("the closing page lists %d open actions", list)
	}
	b.startOver()
	b.wantQuiet("file://" + s.dir)
}

// enterMixer goes from the start page to the step view by a click.
func (b *tab) enterMixer() {
	b.t.Helper()
	b.click(`a.job[href$="procedure/mixer-gearbox-out/steps-belt.html"]`)
	b.waitFor(`document.querySelector(".step.shown") !== null && location.pathname.includes("/mixer-gearbox-out/steps")`)
}

// doStep does all that the step asks for and goes on. At a hold point it tries to
// pass before and between the confirmations. It returns the number of hold points.
func (b *tab) doStep() (holds int) {
	b.t.Helper()
	now := eval[place](b, placeNow)
	for _, tick := range now.Open {
		b.click("#" + tick)
	}
	for _, value := range now.Values {
		b.click("#" + value.ID)
		b.do(chromedp.KeyEvent(value.Good))
	}
	confirmations := append(now.Holds, now.Signs...)
	for i, id := range confirmations {
		b.wantShut(now.Step, len(confirmations)-i)
		b.click("#" + id)
		if i >= len(now.Holds) {
			b.do(chromedp.KeyEvent("A. Trainer"))
		}
	}
	if shut := eval[string](b, `document.querySelector("#ui_next").getAttribute("aria-disabled")`); shut != "false" {
		b.t.Errorf("step %s: next is still shut when all is done", now.Step)
	}
	if state := eval[string](b, `document.querySelector("#ui_state").textContent`); len(confirmations) > 0 && strings.Contains(state, "No actions to tick") {
		b.t.Errorf("step %s: the page says %q under a hold point", now.Step, state)
	}
	b.click("#ui_next")
	b.waitFor(fmt.Sprintf(`document.querySelector(".step.shown").id !== %q`, now.Step))
	if len(confirmations) > 0 {
		holds = 1
	}
	return holds
}

// wantShut tries to go on although confirmations are missing.
func (b *tab) wantShut(step string, missing int) {
	b.t.Helper()
	if shut := eval[string](b, `document.querySelector("#ui_next").getAttribute("aria-disabled")`); shut != "true" {
		b.t.Errorf("step %s: next does not say that it is shut while %d confirmations are missing", step, missing)
	}
	b.click("#ui_next")
	if now := eval[place](b, placeNow).Step; now != step {
		b.t.Fatalf("step %s: next went on to %s while %d confirmations were missing", step, now, missing)
	}
	if state := eval[string](b, `document.querySelector("#ui_state").textContent`); !strings.Contains(state, fmt.Sprint(missing)) {
		b.t.Errorf("step %s: the page says %q, which does not speak of %d missing confirmations", step, state, missing)
	}
}

// startOver clears the job by clicks; what was cleared stays so when the page is opened again.
func (b *tab) startOver() {
	b.t.Helper()
	b.click("#ui_open-list")
	b.click("#ui_start-over")
	b.click("#ui_start-over-no")
	if now := eval[place](b, placeNow); now.Ticks == 0 {
		b.t.Error("ticks are gone although starting over was not confirmed")
	}
	b.click("#ui_start-over")
	b.click("#ui_start-over-yes")
	b.waitFor(`!document.querySelector("#ui_list").open`)
	for range 2 {
		now := eval[place](b, placeNow)
		if first := eval[string](b, `document.querySelector("#ui_steps > .step").id`); now.Ticks != 0 || now.Step != first {
			b.t.Errorf("after starting over the page stands at %s with %d ticks", now.Step, now.Ticks)
		}
		b.do(chromedp.Reload())
		b.waitFor(`document.querySelector(".step.shown") !== null`)
	}
}
