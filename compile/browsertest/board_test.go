//go:build browser

package browsertest

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"gotest.tools/v3/assert"

	"matchmark/procedure/record"
)

// TestBoardHears checks that the board shows a change when it comes: by the host's events, and by asking
// where the host has no event stream left.
func TestBoardHears(t *testing.T) {
	inTestAll(t)
	wantTools(t)
	c := startClass(t, buildCommand(t))
	for _, address := range []string{c.plain.String(), c.secure.String()} {
		b := openTab(t, newProfile(t), c.trusting())
		// A board that is told asks every 15 seconds all the same. Here it does not, so only the host's events can bring the job.
		b.before(`{ const later = setTimeout; window.setTimeout = (work, time) => time >= 15000 ? 0 : later(work, time); }`)
		c.enterAt(b, address)
		// A board that is told of changes asks seldom.
		b.waitFor(`performance.getEntriesByType("resource").filter(e => e.name.endsWith("/board/state")).length >= 2`)
		eval[bool](b, `performance.clearResourceTimings(), true`)
		time.Sleep(5 * time.Second)
		if n := eval[int](b, `performance.getEntriesByType("resource").filter(e => e.name.endsWith("/board/state")).length`); n > 1 {
			t.Errorf("%s: a quiet board asked %d times in five seconds", address, n)
		}
		c.begin(t, strings.Split(address, ":")[0])
		b.waitFor(fmt.Sprintf(`document.querySelector("#ui_jobs").textContent.includes("Bench %s")`, strings.Split(address, ":")[0]))
		// A board that was left to itself goes on when it is looked at again.
		b.visit("about:blank")
		b.visit(address + "board/")
		b.waitFor(`document.querySelectorAll("#ui_jobs article").length > 0`)
		b.wantSound()
		b.close()
	}

	thirtyPairsOnOneScreen(t, c)

	// All streams of this address are taken: the board asks instead.
	for range 4 {
		defer c.listen(t)()
	}
	b := openTab(t, newProfile(t))
	c.enterAt(b, c.plain.String())
	c.begin(t, "late")
	b.comes(`document.querySelector("#ui_jobs").textContent.includes("Bench late")`)
	if text := eval[string](b, `document.querySelector("#ui_reach").textContent`); text != "Up to date" {
		t.Errorf("the board that asks says %q", text)
	}
}

// thirtyPairs draws the board of a class of thirty pairs, and lists what of it cannot be read on the screen: lines that are missing,
// off the screen or too low to be hit, marks that are cut, and in the end names that are still there once they are hidden.
const thirtyPairs = `(() => {
	const state = {...matchmark.board.state()}, hour = 3600000, found = [];
	const hold = (way, number) => ({key: way + "/x", way, number, waitingSince: state.now - 240000, signed: null, confirmations: [], known: true, title: "", step: ""});
	state.jobs = Array.from({length: 30}, (_, i) => ({
		job: "job" + i, machine: "Bench " + (i === 29 ? 29 : i + 1), void: false, done: {out: i === 7, back: i === 7}, ways: {out: {of: 29, gates: [4, 12, 20]}, back: {of: 24, gates: [9]}},
		tablets: [{learner: "Anna Example", way: i % 5 ? "out" : "back", step: "x", stepTitle: "Put the hoist on", number: 1 + i % 24, of: 29, at: state.now - (i === 3 ? hour : 1000), late: i === 5 ? 12 : 0},
			{learner: "Bertram Sample", way: i % 5 ? "out" : "back", step: "x", stepTitle: "", number: 1 + i % 24, of: 29, at: state.now - 2000, late: 0}].slice(0, i === 3 ? 1 : 2),
		holds: i === 11 ? [hold("out", 12)] : i === 13 ? [{...hold("out", 14), finding: "f"}] : [], findings: [],
	}));
	document.dispatchEvent(new CustomEvent("matchmark:board", {detail: state}));
	scrollTo(0, 0);
	const rows = [...document.querySelectorAll(".matrix-row:not(.matrix-heads)")], boxes = rows.map(r => r.getBoundingClientRect());
	if (rows.length !== 30) found.push(rows.length + " lines");
	if (boxes.at(-1).bottom > innerHeight) found.push("the last line ends at " + boxes.at(-1).bottom + " of " + innerHeight);
	if (Math.min(...boxes.map(b => b.height)) < 24) found.push("a line is " + Math.min(...boxes.map(b => b.height)) + " high");
	if (document.documentElement.scrollWidth > innerWidth) found.push("wider than the screen");
	for (const m of rows.flatMap(r => [...r.querySelectorAll(".matrix-mark, .matrix-label")])) {
		const box = m.getBoundingClientRect();
		if (box.right > innerWidth || m.matches(".matrix-mark") && m.scrollWidth > m.clientWidth + 1 || box.height < 20) found.push("cut: " + m.textContent);
	}
	for (const kind of ["wait", "stop", "silent", "late", "twice", "done"]) if (!document.querySelector(".matrix-mark.is-" + kind)) found.push("no mark " + kind);
	for (const kind of ["wait", "stop"]) if (!document.querySelector(".matrix-strip .is-" + kind)) found.push("no step marked " + kind);
	document.querySelector("#ui_nameless").click();
	document.dispatchEvent(new CustomEvent("matchmark:board", {detail: state}));
	if (/Anna|Bertram|Kim/.test(document.body.innerText)) found.push("names are shown although they are hidden");
	document.querySelector("#ui_nameless").click();
	return found;
})()`

// thirtyPairsOnOneScreen checks that a board of thirty pairs stands on one screen.
func thirtyPairsOnOneScreen(t *testing.T, c *class) {
	b := openTab(t, newProfile(t))
	c.enterAt(b, c.plain.String())
	b.waitFor(`document.querySelectorAll(".matrix-row").length > 1`)
	b.do(chromedp.EmulateViewport(1280, 800))
	for _, fault := range eval[[]string](b, thirtyPairs) {
		t.Errorf("thirty pairs: %s", fault)
	}
	// A line opens to what it is about.
	b.click(".matrix-row:nth-child(2) .matrix-label")
	b.waitFor(`document.querySelector(".matrix-open h3") !== null`)
	b.wantHostAccessible("board with a line open")
	b.close()
}

// TestKeyIsForTheTrainer follows a learner's tablet, and then the trainer, to the key of a quiz.
func TestKeyIsForTheTrainer(t *testing.T) {
	inTestAll(t)
	wantTools(t)
	c := startClass(t, buildCommand(t))
	b := openTab(t, newProfile(t), c.trusting())
	quiz := c.secure.String() + "quiz/mixer-quiz/"
	b.visit(quiz + "index.html")
	b.waitFor(`navigator.serviceWorker.controller !== null`)
	b.visit(quiz + "key.html")
	if text := eval[string](b, `document.body.innerText`); !strings.Contains(text, "answers to a quiz") || strings.Contains(text, "All actions") {
		t.Errorf("a tablet gets %s", text)
	}
	b.wantLargeTargets("key refused")
	b.tap("main .button.main")
	b.waitFor(`document.querySelector("#ui_pin-form") && !document.querySelector("#ui_pin-form").hidden`)
	b.tap("#ui_pin-who")
	b.do(chromedp.KeyEvent("Kim Holt"))
	b.tap("#ui_pin")
	b.do(chromedp.KeyEvent(c.pin + kb.Enter))
	b.comes(`location.pathname === "/quiz/mixer-quiz/key.html" && document.querySelectorAll(".key-choices").length > 3`)
	// The board leads to all keys.
	b.visit(c.secure.String() + "board/")
	b.waitFor(`!document.querySelector("#ui_board").hidden`)
	b.tap(`#ui_board a[href="/board/keys"]`)
	b.waitFor(`document.querySelector("main a[href='/quiz/mixer-quiz/key.html']") !== null`)
	b.wantLargeTargets("list of keys")
	b.wantHostAccessible("list of keys")
	b.tap("main a[href='/quiz/mixer-quiz/key.html']")
	b.waitFor(`document.querySelectorAll(".key-choices").length > 3`)
	// The worker has had its time with the quiz, and with the key itself.
	b.visit(quiz + "index.html")
	const kept = `caches.open("matchmark-pages").then(c => c.keys()).then(list => list.map(r => new URL(r.url).pathname))`
	b.waitForPromise(`(` + kept + `).then(list => list.includes("/quiz/mixer-quiz/form.html"))`)
	for _, path := range eval[[]string](b, kept) {
		if strings.Contains(path, "key") && strings.HasPrefix(path, "/quiz/") {
			t.Errorf("the worker keeps %s", path)
		}
	}
	// An address that was made up leads nowhere else.
	for _, to := range []string{"//evil.example/", "javascript:alert(1)", "/board/../../x", "https://evil.example/"} {
		b.visit(c.secure.String() + "board/?to=" + url.QueryEscape(to))
		b.waitFor(`!document.querySelector("#ui_board").hidden`)
		b.tap("#ui_leave")
		b.waitFor(`!document.querySelector("#ui_pin-form").hidden`)
		b.tap("#ui_pin-who")
		b.do(chromedp.KeyEvent("Kim Holt"))
		b.tap("#ui_pin")
		b.do(chromedp.KeyEvent(c.pin + kb.Enter))
		b.comes(`location.pathname === "/board/" && !document.querySelector("#ui_board").hidden`)
	}
	b.wantSound()
}

// begin has a tablet join the class and send the record of a job that was begun on a machine of this name.
func (c *class) begin(t *testing.T, name string) {
	t.Helper()
	send := func(path, token string, body, into any) {
		t.Helper()
		content, err := json.Marshal(body)
		assert.NilError(t, err)
		request, err := http.NewRequest("POST", c.plain.String()+path, bytes.NewReader(content))
		assert.NilError(t, err)
		request.Header.Set("Content-Type", "application/json")
		request.Header.Set("Authorization", "Bearer "+token)
		answer, err := http.DefaultClient.Do(request)
		assert.NilError(t, err)
		defer answer.Body.Close()
		why, err := io.ReadAll(answer.Body)
		if err != nil || answer.StatusCode != http.StatusOK || json.Unmarshal(why, into) != nil {
			t.Fatalf("%s is answered with %s %s %v", path, answer.Status, why, err)
		}
	}
	var in struct{ Tablet, Secret string }
	send("class/enrol", "", map[string]string{"code": c.code(""), "name": "Learner " + name}, &in)
	stamp := record.Stamp{At: 1_000, Tablet: in.Tablet}
	send("class/record", in.Tablet+"."+in.Secret, record.Record{
		Format: record.Format, Version: record.Version, Job: (name + strings.Repeat("a", 26))[:26], Procedure: "oven-fan-out", Edition: "1", Content: strings.Repeat("0", 16),
		Machine: record.Entry[string]{Value: "Bench " + name, Stamp: stamp},
		Tablets: map[string]record.Tablet{in.Tablet: {Phase: record.Removal, Stamp: stamp}},
	}, &struct{}{})
}

// listen takes an event stream of the host and returns what ends it.
func (c *class) listen(t *testing.T) (end func()) {
	t.Helper()
	jar, err := cookiejar.New(nil)
	assert.NilError(t, err)
	client := &http.Client{Jar: jar, Transport: &http.Transport{}}
	entered, err := client.Post(c.plain.String()+"board/pin", "application/json", strings.NewReader(fmt.Sprintf(`{"who":"Kim Holt","pin":%q}`, c.pin)))
	assert.NilError(t, err)
	entered.Body.Close()
	stream, err := client.Get(c.plain.String() + "board/events")
	if err != nil || stream.StatusCode != http.StatusOK {
		t.Fatalf("the stream: %v %v", stream, err)
	}
	return func() { stream.Body.Close() }
}
