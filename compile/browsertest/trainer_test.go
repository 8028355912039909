//go:build browser

package browsertest

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"gotest.tools/v3/assert"

	"matchmark/procedure/assessment"
)

// trainersPapers goes with a trainer from the start page over plan and papers of a course to the papers of a job and of its way back,
// by the links that are shown. Each paper says what course and procedure say, nothing of it is cut off on a tablet held upright,
// and all of it is printed.
func trainersPapers(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	b.visit(s.file("index.html"))
	for _, stop := range []struct {
		link, to string
		says     []string
		paper    bool
	}{
		{`a[href="course/heavy-parts-out.html"]`, "/course/heavy-parts-out.html", []string{"Session 1:"}, false},
		{`.papers a[href$="/plan.html"]`, "/heavy-parts-out/plan.html", []string{"Prove it dead"}, false},
		{`.crumbs a[href$="heavy-parts-out.html"]`, "/course/heavy-parts-out.html", nil, false},
		{`.papers a[href$="/lesson.html"]`, "/lesson.html", []string{"Session 1: A roller out and back in", "1. Prepare: the briefing", "Isolate the sheeter and prove it dead", "Break"}, true},
		{`.crumbs a[href$="heavy-parts-out.html"]`, "/course/heavy-parts-out.html", nil, false},
		{`.papers a[href$="/class.html"]`, "/class.html", []string{"At work at once, at most", "does the work", "Proving unit for the tester"}, true},
		{`.crumbs a[href$="heavy-parts-out.html"]`, "/course/heavy-parts-out.html", nil, false},
		{`.papers a[href$="/order.html"]`, "/order.html", []string{"12 Hub tab washer", "Gear oil VG 220", "Chain hoist", "inspected"}, true},
		{`.crumbs a[href$="heavy-parts-out.html"]`, "/course/heavy-parts-out.html", nil, false},
		{`.papers a[href$="/attendance.html"]`, "/attendance.html", []string{"Session 3: The gearbox back in, until it runs"}, true},
		{`.crumbs a[href$="heavy-parts-out.html"]`, "/course/heavy-parts-out.html", nil, false},
		{`a.entry-title[href="../procedure/mixer-gearbox-out/index.html"]`, "/mixer-gearbox-out/index.html", nil, false},
		{`a[href="deck-belt.html"]`, "/deck-belt.html", []string{"Judge belts, chain, coupling, hub and bores by measured limits", "Stop it the normal way first", "Questions to ask"}, true},
		{`.crumbs a[href="index.html"]`, "/mixer-gearbox-out/index.html", nil, false},
		{`a[href="risk-belt.html"]`, "/risk-belt.html", []string{"Rear hood", "first aid · possible", "Drive gearbox"}, true},
		{`.crumbs a[href="index.html"]`, "/mixer-gearbox-out/index.html", nil, false},
		{`a[href="isolation-belt.html"]`, "/isolation-belt.html", []string{"Isolated, own lock and tag on", "After a break or a night", "proved in step 4"}, true},
		{`.crumbs a[href="index.html"]`, "/mixer-gearbox-out/index.html", nil, false},
		{`a[href="feedback-belt.html"]`, "/feedback-belt.html", []string{"29. Close the openings and count the bags"}, true},
		{`.crumbs a[href="index.html"]`, "/mixer-gearbox-out/index.html", nil, false},
		{`a[href="assessment-belt.html"]`, "/assessment-belt.html", []string{"Take a load off its last bolt only when the hoist carries it", "Signature:"}, true},
		{`.crumbs a[href="index.html"]`, "/mixer-gearbox-out/index.html", nil, false},
		{`a[href="../../procedure/mixer-gearbox-out-back/index.html"]`, "/mixer-gearbox-out-back/index.html", nil, false},
		{`a[href="release-belt.html"]`, "/release-belt.html", []string{"Torque wrench, 60 N·m to 340 N·m", "Counted back"}, true},
	} {
		b.tap(stop.link)
		b.waitFor(fmt.Sprintf(`location.pathname.endsWith(%q) && document.readyState === "complete"`, stop.to))
		text := eval[string](b, `document.querySelector("main").textContent`)
		for _, words := range stop.says {
			if !strings.Contains(text, words) {
				t.Errorf("%s does not say %q", stop.to, words)
			}
		}
		if stop.paper {
			b.wantWhole(stop.to)
		}
	}
	b.wantQuiet("file://" + s.dir)
}

// cutOff lists what of a paper is not to be seen without scrolling sideways.
const cutOff = `(() => {
	const found = [];
	if (document.documentElement.scrollWidth > innerWidth) found.push("the page is " + document.documentElement.scrollWidth + " wide");
	for (const e of document.querySelectorAll("main section, main td, main th, main p, main li, main figure")) {
		const style = getComputedStyle(e);
		if (e.checkVisibility() && style.overflowX !== "visible" && e.scrollWidth > e.clientWidth + 1) found.push(e.textContent.slice(0, 60) + ": " + e.scrollWidth + " of " + e.clientWidth);
	}
	return found;
})()`

// wantWhole fails when something of a paper is cut off on the screen, or is not printed; each sheet bears its number and that of all.
func (b *tab) wantWhole(what string) {
	b.t.Helper()
	for _, fault := range eval[[]string](b, cutOff) {
		b.t.Errorf("%s is cut off: %s", what, fault)
	}
	fields := func(text string) []string { return strings.Fields(strings.ReplaceAll(text, "-", "")) } // pdftotext takes a hyphen at the end of a line away
	words := fields(strings.Join(eval[[]string](b, `[...document.querySelectorAll("main :is(h1, h2, td, th, .sheet-lead, .fields span)")].filter(e => e.checkVisibility()).map(e => e.innerText)`), " "))
	pages := b.print(chromedp.PaperA4, papers[0].width, papers[0].height, what)
	b.wantNumbers(pages, what)
	printed := fields(strings.Join(pages, " "))
	closely := strings.Join(printed, "") // pdftotext sees no space between a number and its unit
	for _, word := range words {
		if !slices.Contains(printed, word) && !strings.Contains(closely, word) {
			b.t.Errorf("%s: %q is not printed", what, word)
		}
	}
}

// assessed fills in the sheet of a pair, each learner in the other role, and hands both in. The saved files and the results of the quiz
// give one result.
func assessed(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	saved := b.downloads()
	b.visit(s.file("procedure/mixer-gearbox-out/assessment-belt.html"))
	b.tap("#ui_assess-begin")
	b.waitFor(`document.querySelector("#ui_assess-where").textContent.startsWith("It is saved as a file")`)
	b.tap("#ui_assess-keep")
	b.waitFor(`document.querySelector("#ui_assess-problem").textContent === "Write the learner and the observer."`)
	b.fillIn("#ui_assess-observer", "T. Holm")

	// The one who does the work, for the second time: all that must be seen is seen.
	b.fillIn("#ui_assess-learner", "Ada Berg")
	b.choose("#ui_assess-attempt", "2")
	b.choose(`[data-aim="2"] select`, "alone")
	b.tap("#ui_assess-keep")
	b.waitFor(`document.querySelector("#ui_assess-problem").textContent.startsWith("Each line with Must") && document.querySelectorAll(".assess-open").length === 1`)
	must := eval[[]string](b, `[...document.querySelectorAll("tr[data-must]")].map(r => r.dataset.line)`)
	if len(must) < 3 {
		t.Fatalf("the sheet has %d lines with Must", len(must))
	}
	for _, line := range must {
		b.tap(fmt.Sprintf(`tr[data-line=%q] input[value="seen"]`, line))
	}
	b.fillIn(fmt.Sprintf(`tr[data-line=%q] input[type="text"]`, must[0]), "signed 10:40")
	b.wantLargeTargets("assessment, filled in")
	// A device that no longer stores says so, until it does again.
	eval[bool](b, `window.setItem = Storage.prototype.setItem, Storage.prototype.setItem = () => { throw new DOMException("full", "QuotaExceededError"); }, true`)
	b.fillIn("#ui_assess-record", "7")
	b.waitFor(`document.querySelector("#ui_assess-loose").textContent.startsWith("This device cannot store what you fill in")`)
	eval[bool](b, `Storage.prototype.setItem = window.setItem, true`)
	b.fillIn("#ui_assess-record", "8")
	b.waitFor(`document.querySelector("#ui_assess-loose").textContent === ""`)
	// What was filled in outlives the page.
	b.visit(s.file("procedure/mixer-gearbox-out/assessment-belt.html"))
	b.waitFor(`document.querySelector("#ui_assess-learner").value === "Ada Berg" && document.querySelector('[data-aim="2"] select').value === "alone"`)
	b.tap("#ui_assess-keep")
	ada, adaFile := b.kept(saved)
	if ada.Role != assessment.Does || ada.Attempt != 2 || ada.Variant != "belt" || ada.Missed() || ada.Of(2, "Take a load off its last bolt only when the hoist carries it") != assessment.Alone {
		t.Errorf("the file has %+v", ada)
	}
	if i := slices.IndexFunc(ada.Lines, func(l assessment.Seen) bool { return l.Line == must[0] }); i < 0 || ada.Lines[i].Evidence != "signed 10:40" {
		t.Errorf("the file has %+v", ada.Lines)
	}

	// The one who checks: a line that must be seen is missed, which ends the attempt.
	b.fillIn("#ui_assess-learner", "Ben Oyelaran")
	b.choose("#ui_assess-role", "checks")
	b.choose(`[data-aim="2"] select`, "alone")
	for i, line := range must {
		b.tap(fmt.Sprintf(`tr[data-line=%q] input[value=%q]`, line, map[bool]string{true: "missed", false: "seen"}[i == 1]))
	}
	b.tap("#ui_assess-keep")
	ben, benFile := b.kept(saved)
	if ben.Role != assessment.Checks || ben.Attempt != 1 || !ben.Missed() || ben.Observer != "T. Holm" || len(ben.Lines) != len(must) {
		t.Errorf("the file has %+v", ben)
	}
	b.wantQuiet("file://" + s.dir)

	// All right in the quiz, and seen to do it.
	dir := t.TempDir()
	today := time.Now().UTC().Format(time.DateOnly)
	for name, data := range map[string][]byte{
		"ada.json": adaFile, "ben.json": benFile,
		"quiz.csv": fmt.Appendf(nil, "mixer-quiz again,date,why-rear-bolt,point-rear-bolt,leg-load,before-lift,set-down-order\nAda Berg,%s,A,A,37,ABC,1 3 4 2\nBen Oyelaran,%s,A,A,37,ABC,1 3 4 2\n", today, today),
	} {
		assert.NilError(t, os.WriteFile(filepath.Join(dir, name), data, 0o666))
	}
	command := exec.Command(buildCommand(t), "competence", "ada.json", "ben.json", "quiz.csv", "--csv", "matrix.csv")
	command.Dir = dir
	if out, err := command.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	table, err := os.ReadFile(filepath.Join(dir, "matrix.csv"))
	assert.NilError(t, err)
	rows, err := csv.NewReader(bytes.NewReader(table)).ReadAll()
	assert.NilError(t, err)
	want := map[string]string{"Ada Berg": "shown", "Ben Oyelaran": "part"}
	for _, row := range rows {
		if row[1] == "mixer-gearbox-out" && row[2] == "2" {
			if !slices.Contains(row, want[row[0]]) {
				t.Errorf("%q, want %q", row, want[row[0]])
			}
			delete(want, row[0])
		}
	}
	if len(want) > 0 {
		t.Errorf("no row of %v in\n%s", want, table)
	}
}

// kept waits until an assessment is saved and the form is empty again, and reads the file.
func (b *tab) kept(saved func() (string, []byte)) (*assessment.Assessment, []byte) {
	b.t.Helper()
	name, data := saved()
	b.waitFor(fmt.Sprintf(`document.querySelector("#ui_assess-said").textContent.includes(%q) && document.querySelector("#ui_assess-learner").value === "" && !document.querySelector("tr[data-line] input:checked")`, name))
	a := new(assessment.Assessment)
	assert.NilError(b.t, json.Unmarshal(data, a))
	return a, data
}

// choose picks a choice of a list.
func (b *tab) choose(selector, value string) {
	b.t.Helper()
	b.reach(selector)
	eval[bool](b, fmt.Sprintf(`(() => { const s = document.querySelector(%q); s.value = %q; s.dispatchEvent(new Event("input", {bubbles: true})); return s.value === %[2]q; })()`, selector, value))
}
