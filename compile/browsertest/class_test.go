//go:build browser

package browsertest

import (
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"gotest.tools/v3/assert"

	"matchmark/compile/host/store"
	"matchmark/procedure/record"
)

// hostile is a learner's name that is a script in a page which takes names for markup.
const hostile = `<img src=x onerror=alert(1)>`

const lineState = `document.querySelector("#ui_class-line").dataset.state`

// comes waits until something has come over the network.
func (b *tab) comes(expression string) {
	b.t.Helper()
	b.waitWithin(forNetwork, expression)
}

// sent waits until the host has all of a tablet.
func (b *tab) sent() {
	b.t.Helper()
	b.comes(lineState + ` === "sent"`)
}

// join takes the tablet into the class by a code, under a name that is typed.
func (b *tab) join(code, name, machine string) {
	b.t.Helper()
	b.tap("#ui_class-door")
	b.waitFor(`document.querySelector("#ui_class-dialog").open && Boolean(document.querySelector("#ui_class-code"))`)
	b.wantLargeTargets("joining, the code")
	b.tap("#ui_class-code")
	b.do(chromedp.KeyEvent(code + kb.Enter))
	b.comes(`Boolean(document.querySelector("#ui_class-name"))`)
	b.wantLargeTargets("joining, the name")
	b.tap("#ui_class-name")
	b.do(chromedp.KeyEvent(name))
	if machine != "" {
		b.tap("#ui_class-machine")
		b.do(chromedp.KeyEvent(machine))
	}
	b.tap(`#ui_class-dialog [type="submit"]`)
	b.comes(`!document.querySelector("#ui_class-dialog").open && /^Tablet \d+$/.test(document.querySelector("#ui_class-door").textContent)`)
}

// code is the code by which tablets join the class, or a job.
func (c *class) code(job string) string {
	c.t.Helper()
	var shown struct{ Code string }
	path := "board/invite"
	if job != "" {
		path += "/" + job
	}
	c.trainer(path, &shown)
	return shown.Code
}

// away waits until the tablet says that the host is away and how many things wait.
func (b *tab) away() {
	b.t.Helper()
	b.comes(lineState + ` === "away" && /stored on this tablet/.test(document.querySelector("#ui_class-line").textContent)`)
}

// step opens a step of the page that is open.
func (b *tab) step(id string) {
	b.t.Helper()
	eval[bool](b, fmt.Sprintf(`location.hash = %q, true`, id))
	b.waitFor(fmt.Sprintf(`document.getElementById(%q).matches(".shown")`, id))
}

// worker waits until the service worker keeps the step page that is open with its script, a page that it leads to, and the start page.
func (b *tab) worker() {
	b.t.Helper()
	b.waitFor(`navigator.serviceWorker.controller !== null`)
	b.waitForPromise(`caches.open("matchmark-pages").then(c => c.keys()).then(list => {
		const kept = list.map(r => new URL(r.url).pathname);
		return [location.pathname, "/", "/assets/bench.js", "/assets/step.css", "/class/class.js", "/procedure/mixer-gearbox-out/index.html", "/assets/site.css"].every(p => kept.includes(p));
	})`)
}

// waitForPromise waits until a promise gives true.
func (b *tab) waitForPromise(expression string) {
	b.t.Helper()
	if !until(b.t, forPage, func() bool { return eval[bool](b, expression) }) {
		b.t.Fatalf("waited in vain for %s", abridged(expression))
	}
}

// tickAll ticks the rows of the step that is shown.
func (b *tab) tickAll() {
	b.t.Helper()
	for _, id := range eval[[]string](b, `[...document.querySelectorAll(".step.shown [data-tick]")].filter(i => i.type === "checkbox" && !i.disabled && !i.checked).map(i => i.id)`) {
		b.tap("#" + id)
	}
}

// photograph adds a photo to the finding in hand, which has so many then.
func (b *tab) photograph(orientation byte, count int) {
	b.t.Helper()
	file := filepath.Join(b.t.TempDir(), "photo.jpg")
	if err := os.WriteFile(file, photoWithOrientation(b.t, orientation), 0o666); err != nil {
		b.t.Fatal(err)
	}
	b.upload(`#ui_finding [data-photo="file"]`, file)
	b.waitFor(fmt.Sprintf(`document.querySelectorAll("#ui_finding .photo img").length === %d`, count))
	b.press(kb.Escape)
	b.waitFor(`!document.querySelector("#ui_finding").open`)
}

// allQuestions is more than any quiz has.
const allQuestions = 200

// answer answers so many questions of the quiz that is open, as far as there are so many, the first wrong of them left open.
func (b *tab) answer(count int) {
	b.t.Helper()
	eval[bool](b, fmt.Sprintf(`(() => {
		const key = JSON.parse(document.querySelector("#quiz-key").textContent).questions;
		for (let n = 0, f; n < %d && (f = document.querySelector(".question:not([hidden])")); n++) {
			const q = key.find(q => "question-" + q.id === f.id);
			if (q.kind === "number") f.querySelector("[name=number]").value = q.number.low;
			else if (q.kind === "point") f.querySelector('[name=target][value="' + CSS.escape(q.target) + '"]').checked = true;
			else if (q.kind !== "order") q.chosen.forEach(v => { f.querySelector('[name=choice][value="' + v + '"]').checked = true; });
			f.querySelector(".check-answer").click();
			f.querySelector(".next").click();
		}
		return true;
	})()`, count))
}

// percent is what the page says that the quiz gave.
func (b *tab) percent() int {
	b.t.Helper()
	_, _, percent := b.score()
	return percent
}

// another opens another tab of the same browser.
func (b *tab) another() *tab {
	b.t.Helper()
	ctx, _ := chromedp.NewContext(b.ctx)
	other := &tab{t: b.t, ctx: ctx, small: map[string]bool{}}
	if err := chromedp.Listen(ctx, other.hear); err != nil {
		b.t.Fatal(err)
	}
	other.do(chromedp.EmulateViewport(768, 1024, chromedp.EmulateTouch))
	return other
}

// wantSound fails when a page threw an exception or broke its own policy. That a host which is away is not
// reached is no fault, nor that a header which counts over HTTPS alone is not heeded by a plain address.
func (b *tab) wantSound() {
	b.t.Helper()
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, complaint := range b.complaints {
		if !strings.HasPrefix(complaint, "request failed: net::ERR_") && !strings.Contains(complaint, "Failed to load resource") && !strings.Contains(complaint, ": status 40") &&
			!strings.Contains(complaint, "Cross-Origin-Opener-Policy header has been ignored") &&
			!strings.Contains(complaint, "icon from the Manifest") { // its download ends with the page that is left
			b.t.Errorf("a page complains: %s", complaint)
		}
	}
}

// boardState is what the test compares of the board.
type boardState struct {
	Jobs []struct {
		Job, Machine string
		Tablets      []struct{ Learner, Step string }
		Findings     []struct {
			Name, Kind, Words, By string
			Photos                []string
		}
	}
	Results []struct {
		Quiz, Learner string
		Score         int
	}
}

func TestClass(t *testing.T) {
	wantTools(t)
	bin := buildCommand(t)
	for _, look := range []struct {
		name string
		test func(*testing.T, *class)
	}{
		{"two tablets and a host that dies", twoTablets},
		{"https", classByHTTPS},
		{"pages of the host", pagesOfTheHost},
	} {
		t.Run(look.name, func(t *testing.T) {
			t.Parallel() // much of a test is waiting
			look.test(t, startClass(t, bin))
		})
	}
}

// twoTablets works as a class does: two tablets on one job and a trainer; the host
// dies in the middle, all go on, and in the end everything has arrived once.
func twoTablets(t *testing.T, c *class) {
	plain := c.plain.String()
	ada, ben := newProfile(t), newProfile(t)
	first, second := openTab(t, ada), openTab(t, ben, byName)

	// Two tablets, one job. Nobody has begun, so there is nothing to join yet.
	first.visit(plain + outPage)
	second.visit(c.named() + outPage)
	if eval[bool](second, `isSecureContext || "serviceWorker" in navigator || Boolean(crypto.subtle)`) {
		t.Error("the tablet with the plain address of the network has a secure context")
	}
	first.comes(lineState + ` === "stranger"`)
	second.comes(lineState + ` === "stranger"`)
	first.join(c.code(""), hostile, "Bench 3")
	first.sent()
	first.tickAll()
	first.sent()
	second.join(c.code(eval[string](first, `matchmark.job.record().job`)), "Ben", "")
	second.comes(fmt.Sprintf(`matchmark.job.record().job === %q && matchmark.job.machine() === "Bench 3"`, eval[string](first, `matchmark.job.record().job`)))
	second.sent()

	second.waitFor(`matchmark.job.step() === "listen"`)

	// Findings and a quiz while the host is there.
	eval[bool](first, `[...document.querySelectorAll("[data-hold]")].forEach(i => { if (i.dataset.hold !== "hoist-on--sign") matchmark.job.confirm(i.dataset.hold, i.type === "text" ? "AB" : true); }), true`)
	first.step("slack-drive")
	first.find("damaged")
	first.photograph(6, 1)
	first.sent()
	second.comes(`Object.keys(matchmark.job.record().findings || {}).length === 1 && Boolean(matchmark.job.confirmed("hoist-on--confirm"))`)
	second.step("slack-drive")
	second.find("worn")
	second.press(kb.Escape)
	second.waitFor(`!document.querySelector("#ui_finding").open`)
	quiz := second.another()
	quiz.visit(c.named() + "quiz/sheeter-quiz/index.html")
	eval[bool](quiz, `document.querySelector("#quiz-learner").value = "Ben", document.querySelector("#quiz-go").click(), true`)
	quiz.answer(4)
	second.sent()
	first.worker()
	first.visit(plain + "quiz/mixer-quiz/index.html")
	eval[bool](first, fmt.Sprintf(`document.querySelector("#quiz-learner").value = %q, document.querySelector("#quiz-go").click(), true`, hostile))
	first.answer(5)

	trainer := openTab(t, newProfile(t))
	c.enter(trainer)

	// The host dies. Both go on, and the board says that it is not up to date.
	c.kill()
	trainer.comes(`document.body.matches(".unreached") && document.querySelectorAll("#ui_findings article").length === 2`)
	first.answer(allQuestions)
	firstScore := first.percent()
	quiz.answer(allQuestions)
	secondScore := quiz.percent()
	first.visit(plain + outPage + "#belts-off") // without network
	first.waitFor(`document.getElementById("belts-off").matches(".shown") && Boolean(window.matchmark.job)`)
	first.tap("#ui_notices button") // the link leads ahead of where the job stands
	first.waitFor(`matchmark.job.step() === "belts-off"`)
	first.tickAll()
	first.find("leaking")
	first.photograph(3, 1)
	second.tickAll()
	second.find("missing")
	second.tap("#ui_finding-words")
	second.do(chromedp.KeyEvent("Two washers"))
	second.photograph(8, 1)
	first.away()
	second.away()
	before := first.record()
	first.do(chromedp.Reload())
	first.waitFor(`document.getElementById("belts-off").matches(".shown") && Boolean(window.matchmark.job)`)
	if after := first.record(); !reflect.DeepEqual(after.Findings, before.Findings) || !reflect.DeepEqual(after.Ticks, before.Ticks) {
		t.Error("a page that was loaded again without network has another record")
	}
	if broken := eval[int](first, `[...document.images].filter(i => i.complete && i.naturalWidth === 0).length`); broken != 0 {
		t.Errorf("%d pictures are missing without network", broken)
	}
	entered := map[string]record.Finding{}
	ticks := map[string]bool{}
	for _, r := range []*record.Record{first.record(), second.record()} {
		maps.Copy(entered, r.Findings)
		for row, tick := range r.Ticks {
			ticks[row] = tick.Value
		}
	}
	if len(entered) != 4 || len(ticks) < 8 {
		t.Fatalf("the tablets hold %d findings and %d ticks", len(entered), len(ticks))
	}
	second.wantSound()
	second.close()

	// The host is back. One tablet was on all the time, one is opened again.
	c.start()
	second = openTab(t, ben, byName)
	second.visit(c.named() + outPage)
	first.comes(fmt.Sprintf(`Object.keys(matchmark.job.record().findings).length === %d`, len(entered)))
	first.sent()
	second.sent()
	c.wantOnce(entered, ticks, map[string]int{hostile: firstScore, "Ben": secondScore})

	trainer.comes(`!document.querySelector("#ui_pin-form").hidden`) // sessions end with the host
	signHold(t, c, trainer, first, second)
	lookAround(t, c, trainer)
	for _, b := range []*tab{first, second, trainer} {
		b.wantSound()
	}
	c.kill()
	c.wantSoundData(first.record().Job)
}

// wantOnce compares the board and the record with what was entered.
func (c *class) wantOnce(entered map[string]record.Finding, ticks map[string]bool, scores map[string]int) {
	c.t.Helper()
	var state boardState
	c.trainer("board/state", &state)
	if len(state.Jobs) != 1 || len(state.Jobs[0].Tablets) != 2 || state.Jobs[0].Machine != "Bench 3" {
		c.t.Fatalf("the board has the jobs %+v", state.Jobs)
	}
	job := state.Jobs[0]
	r, err := record.Read(c.trainer("board/record/"+job.Job, nil))
	if err != nil {
		c.t.Fatal(err)
	}
	learners := map[string]string{}
	for name, tablet := range r.Tablets {
		learners[name] = tablet.Learner
	}
	var shown []string
	for _, f := range job.Findings {
		shown = append(shown, f.Name)
		if want := entered[f.Name]; f.Kind != string(want.Kind) || f.Words != want.Words || f.By != learners[want.Tablet] || !slices.Equal(f.Photos, want.Photos) && len(want.Photos) > 0 {
			c.t.Errorf("the board shows %+v, entered was %+v", f, want)
		}
	}
	slices.Sort(shown)
	if want := slices.Sorted(maps.Keys(entered)); !slices.Equal(shown, want) {
		c.t.Errorf("the board shows the findings %v, want %v", shown, want)
	}
	got := map[string]int{}
	for _, r := range state.Results {
		got[r.Learner] = r.Score
	}
	if len(state.Results) != len(scores) || !maps.Equal(got, scores) {
		c.t.Errorf("the board has %d results, %v, want %v", len(state.Results), got, scores)
	}
	if !reflect.DeepEqual(nameless(r.Findings), nameless(entered)) {
		c.t.Errorf("the record has the findings %+v, entered were %+v", r.Findings, entered)
	}
	arrived := map[string]bool{}
	for row, tick := range r.Ticks {
		arrived[row] = tick.Value
	}
	if !maps.Equal(arrived, ticks) {
		c.t.Errorf("the record has the ticks %v, want %v", arrived, ticks)
	}
	photos := 0
	for _, f := range entered {
		for _, name := range f.Photos {
			photos++
			data, err := base64.StdEncoding.DecodeString(r.Photos[name].Data)
			if sum := sha256.Sum256(data); err != nil || hex.EncodeToString(sum[:]) != name {
				c.t.Errorf("the photo %s arrived with %d bytes, %v", name, len(data), err)
			}
		}
	}
	if photos != 3 || len(r.Photos) != 3 {
		c.t.Errorf("%d photos of findings, %d in the record, want three", photos, len(r.Photos))
	}
}

// nameless are findings without who found them: a tablet knows its own learner alone.
func nameless(findings map[string]record.Finding) map[string]record.Finding {
	out := maps.Clone(findings)
	for name, f := range out {
		f.By, f.FoundBy = "", ""
		out[name] = f
	}
	return out
}

// enter opens the board, with a wrong PIN first.
func (c *class) enter(b *tab) { c.enterAt(b, c.plain.String()) }

// enterAt does so at one of the host's addresses.
func (c *class) enterAt(b *tab, address string) {
	b.t.Helper()
	b.visit(address + "board/")
	b.waitFor(`!document.querySelector("#ui_pin-form").hidden`)
	give := func(pin string) {
		b.tap("#ui_pin")
		b.do(chromedp.KeyEvent(pin + kb.Enter))
	}
	b.tap("#ui_pin-who")
	b.do(chromedp.KeyEvent("Kim Holt"))
	give("no" + c.pin)
	b.comes(`document.querySelector("#ui_pin-problem").textContent.includes("Wrong PIN") && document.querySelector("#ui_board").hidden`)
	give(c.pin)
	b.comes(`!document.querySelector("#ui_board").hidden && document.querySelector("#ui_pin-form").hidden`)
}

// signHold has a tablet ask for a signature, the trainer give it, and both tablets see it.
func signHold(t *testing.T, c *class, trainer, first, second *tab) {
	c.enter(trainer)
	// The test has typed initials where hold points came before; the board says that they prove nothing.
	trainer.comes(`[...document.querySelectorAll("#ui_waits article")].length > 0 && [...document.querySelectorAll("#ui_waits article")].every(c => /Not proved/.test(c.textContent))`)
	unproved := eval[int](trainer, `document.querySelectorAll("#ui_waits article").length`)
	first.step("hoist-on")
	second.step("hoist-on")
	first.waitFor(`document.querySelector("#ui_next").getAttribute("aria-disabled") === "true"`)
	first.tap("#hoist-on .row.sign button[aria-pressed]")
	trainer.comes(fmt.Sprintf(`document.title.startsWith("(%d)") && [...document.querySelectorAll("#ui_waits article")].filter(c => !/Not proved/.test(c.textContent)).length === 1`, unproved+1))
	eval[bool](trainer, `[...document.querySelectorAll("#ui_waits article")].find(c => !/Not proved/.test(c.textContent)).setAttribute("data-waits", ""), true`)
	if who := eval[string](trainer, `document.querySelector("[data-waits] .soft").textContent`); who != hostile {
		t.Errorf("the board says that %q waits", who)
	}
	trainer.tap("[data-waits] button")
	trainer.waitFor(`document.querySelector("#ui_sign").open`)
	if given := eval[int](trainer, `document.querySelectorAll("#ui_sign-list .given").length`); given != 3 {
		t.Errorf("the trainer sees %d confirmations, want three", given)
	}
	trainer.wantHostAccessible("signing")
	trainer.tap("#ui_sign-yes")
	trainer.waitFor(`!document.querySelector("#ui_sign").open && [...document.querySelectorAll("#ui_waits article")].every(c => /Not proved/.test(c.textContent))`)
	for _, b := range []*tab{first, second} {
		b.comes(`/Kim Holt/.test(document.querySelector("#hoist-on .signed").textContent) && !document.querySelector("#hoist-on .signed").hidden`)
		b.waitFor(`document.querySelector("#ui_next").getAttribute("aria-disabled") === "false"`)
	}
}

// lookAround uses the rest of the board.
func lookAround(t *testing.T, c *class, b *tab) {
	b.comes(`[...document.querySelectorAll(".board-photos img")].filter(i => i.naturalWidth > 0).length === 3`)
	if text := eval[string](b, `document.querySelector("#ui_jobs").textContent`); !strings.Contains(text, hostile) || !strings.Contains(text, "signed by Kim Holt") {
		t.Errorf("the board shows of the job: %s", text)
	}
	if n := eval[int](b, `document.querySelectorAll("#ui_board img").length`); n != 3 {
		t.Errorf("the board has %d pictures, want the three photos only", n)
	}
	for _, width := range []int{768, 1024} {
		b.resize(width)
		b.wantLargeTargets("board")
		if wide := eval[int](b, `document.documentElement.scrollWidth`); wide > width {
			t.Errorf("the board is %d wide in a window of %d: %s", wide, width, eval[string](b, widest))
		}
	}
	b.wantHostAccessible("board")
	b.tap("#ui_backup")
	b.waitFor(`/\.db$/.test(document.querySelector("#ui_backup-done").textContent)`)

	var export map[string]any
	id := ""
	var learners []store.Learner
	c.trainer("board/learners", &learners)
	for _, l := range learners {
		if l.Name == hostile {
			id = l.ID
		}
	}
	if body := c.trainer("board/learner/export?id="+id, &export); !bytes.Contains(body, []byte("mixer-quiz")) {
		t.Errorf("the export of a learner lacks the quiz: %.300s", body)
	}
	eval[bool](b, fmt.Sprintf(`[...document.querySelectorAll("#ui_learners li")].find(l => l.textContent.includes(%q)).setAttribute("data-now", ""), true`, hostile))
	b.tap("[data-now] button")
	b.waitFor(`document.querySelector("#ui_forget").open`)
	b.wantHostAccessible("deleting a learner")
	b.tap("#ui_forget-backups")
	b.tap("#ui_forget-yes")
	b.waitFor(fmt.Sprintf(`!document.querySelector("#ui_forget").open && !document.querySelector("#ui_board").textContent.includes(%q)`, hostile))
	if body := c.trainer("board/state", nil); bytes.Contains(body, []byte("onerror")) {
		t.Error("the board's state still has the name of a learner that was deleted")
	}
	if backups, err := store.Backups(c.data); err != nil || len(backups) != 1 {
		t.Errorf("%d backups, %v, want the new one only", len(backups), err)
	}

	job := eval[string](b, `document.querySelector('a[href^="/board/workorder/"]').getAttribute("href")`)
	b.visit(c.plain.String() + strings.TrimPrefix(job, "/"))
	if text := eval[string](b, `document.body.innerText`); !strings.Contains(text, "Two washers") || !strings.Contains(text, "Kim Holt") {
		t.Errorf("the work order lacks a finding or the signature:\n%s", text)
	}
	b.visit(c.plain.String() + "board/results/sheeter-quiz")
	if text := eval[string](b, `document.body.innerText`); !strings.Contains(text, "Ben") {
		t.Errorf("the analysis lacks a learner:\n%s", text)
	}
	b.wantLargeTargets("results")
	b.wantHostAccessible("results")
	b.tap(`.crumbs a[href="/board/"]`)
	b.waitFor(`!document.querySelector("#ui_board").hidden`)
	b.tap("#ui_leave")
	b.waitFor(`document.querySelector("#ui_board").hidden && !document.querySelector("#ui_pin-form").hidden`)
	if status := eval[int](b, `fetch("/board/state").then(r => r.status)`); status != 401 {
		t.Errorf("after leaving, the state is answered with %d", status)
	}
}

// wantSoundData looks into the database of a host that was killed.
func (c *class) wantSoundData(job string) {
	c.t.Helper()
	s, err := store.Open(context.Background(), c.data, store.Options{})
	if err != nil {
		c.t.Fatal(err)
	}
	jobs, err := s.Jobs(context.Background(), 0)
	if err != nil || len(jobs) != 1 || jobs[0].Record.Job != job {
		c.t.Errorf("%d jobs in the database, %v", len(jobs), err)
	}
	if results, err := s.Results(context.Background(), "", 0); err != nil || len(results) != 1 {
		c.t.Errorf("%d results in the database, %v, want that of the learner who was not deleted", len(results), err)
	}
	if photos, err := s.Photos(context.Background(), job); err != nil || len(photos) != 3 {
		c.t.Errorf("%d photos in the database, %v", len(photos), err)
	}
	if err := s.Close(); err != nil {
		c.t.Fatal(err)
	}
	files, err := filepath.Glob(filepath.Join(c.data, "*.db"))
	if err != nil || len(files) != 1 {
		c.t.Fatalf("databases %v, %v", files, err)
	}
	db, err := sql.Open("sqlite", files[0])
	if err != nil {
		c.t.Fatal(err)
	}
	defer db.Close()
	var verdict string
	// Source: SQLite, PRAGMA integrity_check.
	if err := db.QueryRow("PRAGMA integrity_check").Scan(&verdict); err != nil || verdict != "ok" {
		c.t.Errorf("integrity_check: %s, %v", verdict, err)
	}
}

// classByHTTPS opens the class by HTTPS: the page can be installed, and opens again without network.
func classByHTTPS(t *testing.T, c *class) {
	inTestAll(t)
	b := openTab(t, newProfile(t), c.trusting())
	b.visit(c.secure.String() + outPage + "#slack-drive")
	if !eval[bool](b, `isSecureContext && location.protocol === "https:"`) {
		t.Fatal("no secure context")
	}
	b.comes(lineState + ` === "stranger"`)
	b.worker()
	faults, err := chromedp.Call(b.ctx, page.GetInstallabilityErrors, cdp.Empty{})
	assert.NilError(t, err)
	for _, f := range faults.InstallabilityErrors {
		t.Errorf("not installable: %s %+v", f.ErrorID, f.ErrorArguments)
	}
	manifest, err := chromedp.Call(b.ctx, page.GetAppManifest, page.GetAppManifestParams{})
	assert.NilError(t, err)
	for _, f := range manifest.Errors {
		t.Errorf("manifest: %s", f.Message)
	}
	var said struct {
		Name, Display string
		Start         string `json:"start_url"`
		Icons         []struct{ Src, Sizes, Purpose string }
	}
	if err := json.Unmarshal([]byte(manifest.Data), &said); err != nil {
		t.Fatalf("manifest %q: %v", manifest.Data, err)
	}
	if said.Name != "Bakery machinery workshop" || said.Display != "standalone" || said.Start != "/" || len(said.Icons) < 3 {
		t.Errorf("manifest %+v", said)
	}
	for _, icon := range said.Icons {
		size := eval[string](b, fmt.Sprintf(`new Promise(done => { const i = new Image(); i.onload = () => done(i.naturalWidth + "x" + i.naturalHeight); i.onerror = () => done("broken"); i.src = %q; })`, icon.Src))
		if icon.Sizes != "any" && size != icon.Sizes || size == "broken" {
			t.Errorf("the icon %s is %s, want %s", icon.Src, size, icon.Sizes)
		}
	}
	c.kill()
	b.do(chromedp.Reload())
	b.waitFor(`document.getElementById("slack-drive").matches(".shown") && Boolean(window.matchmark.job)`)
	b.comes(lineState + ` === "away"`)
	if broken := eval[int](b, `[...document.images].filter(i => i.complete && i.naturalWidth === 0).length`); broken != 0 {
		t.Errorf("%d pictures are missing without network", broken)
	}
	b.visit(c.secure.String()) // where an installed page starts
	b.waitFor(`document.querySelector("h1").textContent === "Bakery machinery workshop"`)
	if colour := eval[string](b, `getComputedStyle(document.body.parentElement).backgroundColor`); colour != "rgb(245, 240, 230)" {
		t.Errorf("without network the start page has no styles: %s", colour)
	}
	b.wantSound()
}

// wantHostAccessible has axe-core look at a page of the host, light and dark.
func (b *tab) wantHostAccessible(where string) {
	b.t.Helper()
	script, err := os.ReadFile(axePath)
	if err != nil {
		b.t.Fatal(err)
	}
	eval[bool](b, string(script)+"\n;true")
	for _, theme := range []string{"light", "dark"} {
		b.prefer(theme)
		b.wantAccessible(theme + ", " + where)
	}
}

// pagesOfTheHost checks what the host sends besides the site, and pages of the site as it sends them.
func pagesOfTheHost(t *testing.T, c *class) {
	inTestAll(t)
	b := openTab(t, newProfile(t))
	var files []string
	for i, at := range []string{"board/", "trust/", "nothing/here.html", "quiz/mixer-quiz/key.html", "", outPage, "quiz/mixer-quiz/index.html"} {
		b.visit(c.plain.String() + at)
		if strings.HasSuffix(at, "/") {
			b.waitFor(`!document.querySelector("#ui_pin-form") || !document.querySelector("#ui_pin-form").hidden`)
		} else if !strings.HasPrefix(at, "nothing") && !strings.HasSuffix(at, "key.html") {
			b.comes(lineState + ` === "stranger"`)
		}
		b.wantHostAccessible("/" + at)
		for _, width := range []int{768, 1024} {
			b.resize(width)
			if wide := eval[int](b, `document.documentElement.scrollWidth`); wide > width {
				t.Errorf("/%s is %d wide in a window of %d: %s", at, wide, width, eval[string](b, widest))
			}
		}
		file := filepath.Join(t.TempDir(), fmt.Sprintf("page-%d.html", i))
		assert.NilError(t, os.WriteFile(file, c.page(at), 0o666))
		files = append(files, file)
	}
	for _, message := range append(nu(t, files), htmlValidate(t, files)...) {
		t.Error(message)
	}
	b.wantSound()
}
