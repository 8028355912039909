//go:build browser

package browsertest

import (
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"gotest.tools/v3/assert"

	"matchmark/compile"
	"matchmark/compile/pagetest"
	"matchmark/compile/workorder"
	"matchmark/content"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/source"
)

const (
	pumpPage     = "procedure/pump-align/steps.html"
	pumpBackPage = "procedure/pump-align-back/steps.html"
)

// TestFound goes through a job that depends on what is found: both answers to a question, two rounds and all of them, a wait
// that runs while other steps go on, sums and values that are shown where they are used, and the way back that follows.
func TestFound(t *testing.T) {
	s := compileDemo(t)
	t.Run("two rounds, insert worn", func(t *testing.T) { t.Parallel(); pumpWorn(t, s) })
	t.Run("all rounds, insert sound", func(t *testing.T) { t.Parallel(); pumpSound(t, s) })
}

// measure writes a value as typing and leaving the field does.
func (b *tab) measure(row, value string) {
	b.t.Helper()
	eval[bool](b, fmt.Sprintf(`(() => { const i = document.getElementById(%q); i.value = %q; i.dispatchEvent(new Event("input", { bubbles: true })); i.dispatchEvent(new Event("change", { bubbles: true })); return true; })()`, row+"--tick", value))
}

// on ticks what is open in the step that is shown and goes on to the one that must come next.
func (b *tab) on(to string) {
	b.t.Helper()
	eval[bool](b, `document.querySelectorAll(".step.shown [data-tick]:not(:disabled)").forEach(i => { if (!i.checked) i.click(); }), true`)
	b.tap("#ui_next")
	b.waitFor(fmt.Sprintf(`document.querySelector(".step.shown").id === %q || document.getElementById("ui_next-word").textContent === "Next anyway" || document.getElementById("ui_state").classList.contains("asks")`, to))
	if got := b.inStep(); got != to {
		b.t.Fatalf("after the step comes %s, want %s: %s", got, to, b.says())
	}
}

func (b *tab) inStep() string { return eval[string](b, `document.querySelector(".step.shown").id`) }
func (b *tab) says() string {
	return eval[string](b, `document.getElementById("ui_state").textContent`)
}

func (b *tab) wantState(words string) {
	b.t.Helper()
	b.tap("#ui_next")
	if got := b.says(); !strings.Contains(got, words) {
		b.t.Errorf("the bar says %q, want %q", got, words)
	}
}

// coupling writes the values of a round.
func (b *tab) coupling(rim string) {
	b.t.Helper()
	for _, place := range []string{"3", "6", "9"} {
		b.measure("measured-again--read-true-"+place+"-o-clock-rim", rim)
		b.measure("measured-again--read-true-"+place+"-o-clock-face", "0.01")
	}
}

// pumpTo works up to the question about the insert.
func (b *tab) pumpTo(s *site) {
	b.t.Helper()
	b.at(s, pumpPage, "guard-off")
	b.passHolds()
	b.on("feet-oiled")
	b.wantLargeTargets("a wait")
	b.on("as-found")
	for i, place := range []string{"12", "3", "6", "9"} {
		b.measure("as-found--read-found-"+place+"-o-clock-rim", fmt.Sprint(i))
		b.measure("as-found--read-found-"+place+"-o-clock-face", "0")
	}
	b.measure("as-found--read-gap", "3.2")
	b.measure("as-found--read-height", "0,35")
	b.measure("as-found--read-spare", "0.5")
	b.waitFor(`document.getElementById("as-found--read-shim--tick").value === "0.85"`)
	b.wantLargeTargets("values")
	script, err := os.ReadFile(axePath)
	if err != nil {
		b.t.Fatal(err)
	}
	eval[bool](b, string(script)+"\n;true")
	b.wantAccessible("values")
	b.on("insert-check")
}

func (b *tab) decide(answer string) {
	b.t.Helper()
	eval[bool](b, `document.getElementById("insert-check--decide-worn--`+answer+`").click(), true`)
}

// over ends the wait that runs: it began a quarter of an hour ago.
func (b *tab) over() {
	b.t.Helper()
	eval[bool](b, `matchmark.job.record().ticks["out/feet-oiled--wait"].at -= 900000, matchmark.job.save(), true`)
}

// chapters looks at what a chapter says at its second step, and finds steps by chapter, by what is open, and by who does them.
func (b *tab) chapters() {
	b.t.Helper()
	if words := eval[string](b, `document.querySelector("#insert-off details.standing").textContent`); !strings.Contains(words, "Look at the insert") || !strings.Contains(words, "Keep your fingers off") {
		b.t.Errorf("the second step of the chapter warns of %q", words)
	}
	b.tap("#ui_open-list")
	for _, x := range []struct{ kind, has, lacks string }{
		{"Look at the insert", "insert-off", "guard-off"},
		{"Open steps", "shims-set", "guard-off"},
		{"Fitter", "guard-off", "lock-out"},
		{"All steps", "lock-out", ""},
	} {
		eval[bool](b, fmt.Sprintf(`(() => { const s = document.querySelector("#ui_list select"); s.value = %q; s.dispatchEvent(new Event("change")); return true; })()`, x.kind))
		shown := eval[string](b, `Array.from(document.querySelectorAll("#ui_list-steps [data-step]")).filter(a => a.offsetParent).map(a => a.dataset.step).join()`) + ","
		if !strings.Contains(shown, x.has+",") || x.lacks != "" && strings.Contains(shown, x.lacks+",") {
			b.t.Errorf("of %q the list shows %s", x.kind, shown)
		}
	}
	b.wantLargeTargets("the list of steps")
	b.wantAccessible("the list of steps")
	b.tap("#ui_close-list")
}

func pumpWorn(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	b.pumpTo(s)
	b.wantState("not ticked") // the question is not answered yet
	b.decide("yes")
	b.on("insert-off")
	b.chapters()
	b.onPaper()
	b.on("shims-set")
	if got := eval[string](b, `document.querySelector("#shims-set [data-value]").textContent`); got != "Shims that the motor needs: 0.85 mm" {
		t.Errorf("the value that is used reads %q", got)
	}
	if !eval[bool](b, `document.getElementById("shims-set--loosen-2--tick").disabled`) {
		t.Error("a bolt can be loosened while the oil creeps")
	}
	b.wantState("Wait: the oil creeps")
	b.over()
	b.waitFor(`!document.getElementById("shims-set--loosen-2--tick").disabled`)
	b.on("measured-again")
	b.wantState("Write down first")
	b.coupling("0.2")
	b.on("shims-set") // round 2
	if got := eval[string](b, `document.querySelector("#shims-set .this-round").textContent`); got != "Round 2 of at most 3" {
		t.Errorf("the round reads %q", got)
	}
	if eval[bool](b, `document.getElementById("shims-set--loosen-2--tick").checked`) {
		t.Error("the second round begins ticked")
	}
	b.on("measured-again")
	b.coupling("0.02")
	b.on("cleared")
	r := b.record()
	const row = "out/measured-again--read-true-3-o-clock-rim"
	if r.Measured[row].Value != "0.2" || r.Measured[row+"_r2"].Value != "0.02" || r.Measured["out/as-found--read-shim"].Value != "0.85" {
		t.Errorf("the values of the rounds are %+v", r.Measured)
	}
	if c := r.Confirmed["out/insert-check--decide-worn"]; c.Text != "yes" {
		t.Errorf("the answer is %+v", c)
	}
	if len(r.Findings) != 0 {
		t.Errorf("a value that decides makes findings: %v", r.Findings)
	}
	b.on("ui_end")

	// The way back has the insert, and the value as found beside the one as left.
	b.visit(s.file(pumpBackPage))
	b.waitFor(`Boolean(window.matchmark.job)`)
	b.passHolds()
	eval[bool](b, `location.hash = "insert-off-back", true`)
	b.waitFor(`document.querySelector(".step.shown").id === "insert-off-back"`)
	if eval[bool](b, `document.getElementById("insert-off-back").classList.contains("skipped")`) {
		t.Error("the new insert is left out though the old one was worn")
	}
	if got := eval[string](b, `document.querySelector("#as-left output").textContent`); got != "As found: 3.2 mm" {
		t.Errorf("beside the value as left stands %q", got)
	}
	eval[bool](b, `location.hash = "as-left", true`)
	b.waitFor(`document.querySelector(".step.shown").id === "as-left"`)
	b.measure("as-left--read-gap", "3.3")
	b.wantOrder([]string{"3.3 mm as found 3.2 mm", "New split insert", "2 rounds", "round 1", "round 2", "0.2 mm", "OUT OF LIMITS"}, nil)
	b.longTimes(s)
	b.wantQuiet("file://" + s.dir)
}

// wantOrder makes the work order of the record that the tablet has now, and looks for words on it.
func (b *tab) wantOrder(has, lacks []string) {
	b.t.Helper()
	var log diagnostic.Log
	read, err := source.Read(content.Library(), &log)
	assert.NilError(b.t, err)
	lib, err := compile.DeriveRefittings(read.Resolve(&log))
	assert.NilError(b.t, err)
	e, err := workorder.New(lib, pagetest.Theme(b.t), b.record(), workorder.Options{})
	assert.NilError(b.t, err)
	made, err := e.Page()
	assert.NilError(b.t, err)
	words := pagetest.Parse(b.t, made).Text()
	for _, w := range has {
		if !strings.Contains(words, w) {
			b.t.Errorf("the work order does not say %q:\n%s", w, words)
		}
	}
	for _, w := range lacks {
		if strings.Contains(words, w) {
			b.t.Errorf("the work order says %q:\n%s", w, words)
		}
	}
}

// onPaper prints the steps: what the second step of a chapter has folded stands open.
func (b *tab) onPaper() {
	b.t.Helper()
	all := strings.Join(b.print(chromedp.PaperA4, 595.3, 841.9, pumpPage), " ")
	if n := len(regexp.MustCompile(`Keep\s+your\s+fingers\s+off`).FindAllString(all, -1)); n < 2 {
		b.t.Errorf("the caution of the chapter is printed %d times, not at both steps", n)
	}
}

// longTimes looks at the pages of times of the longest job: about four screens, where they had fifteen.
func (b *tab) longTimes(s *site) {
	b.t.Helper()
	b.do(chromedp.EmulateViewport(1024, 768))
	looked := 0
	for _, page := range s.pages {
		if !strings.HasPrefix(page, "procedure/mixer-gearbox-out") || !strings.Contains(page, "/times") {
			continue
		}
		looked++
		b.visit(s.file(page))
		if screens := eval[float64](b, `document.documentElement.scrollHeight / innerHeight`); screens > 4.5 {
			b.t.Errorf("%s is %.1f screens long", page, screens)
		}
	}
	if looked == 0 {
		b.t.Error("there is no page of times of the mixer")
	}
}

func pumpSound(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	b.pumpTo(s)
	b.decide("no")
	b.on("shims-set") // past the step for a worn insert
	b.over()
	for round := 1; round < 3; round++ {
		b.waitFor(`!document.getElementById("shims-set--loosen-2--tick").disabled`)
		b.on("measured-again")
		b.coupling("0.2")
		b.on("shims-set")
	}
	b.on("measured-again")
	b.coupling("0.2")
	b.wantState("call the trainer")
	eval[bool](b, `(() => { const i = document.querySelector("#measured-again .more input"); i.value = "TR"; i.dispatchEvent(new Event("change")); return true; })()`)
	b.on("cleared")
	r := b.record()
	if c := r.Confirmed["out/insert-off--skip"]; !c.Given || !strings.Contains(c.Text, "nicked or soft?” yes") {
		t.Errorf("why the step was left out is %+v", c)
	}
	if c := r.Confirmed["out/measured-again--more"]; c.Text != "TR" {
		t.Errorf("who let the work go on is %+v", c)
	}
	b.wantOrder([]string{"round 3", "OUT OF LIMITS", "TR"}, []string{"New split insert"})
	// Another answer brings the step back.
	eval[bool](b, `location.hash = "insert-off", true`)
	b.waitFor(`document.querySelector(".step.shown").id === "insert-off"`)
	b.waitFor(`document.getElementById("insert-off").classList.contains("skipped")`)
	b.decide("yes")
	b.waitFor(`!document.getElementById("insert-off").classList.contains("skipped")`)
	b.decide("no")
	b.visit(s.file(pumpBackPage) + "#insert-off-back")
	b.waitFor(`Boolean(window.matchmark.job)`)
	b.waitFor(`document.getElementById("insert-off-back").classList.contains("skipped")`)
	b.wantQuiet("file://" + s.dir)
}
