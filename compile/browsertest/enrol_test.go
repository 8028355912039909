//go:build browser

package browsertest

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"gotest.tools/v3/assert"
)

// TestEnrolment takes a tablet through a class: it joins by the code on the board, hold points are opened in each of the three ways, the host moves to another
// port and to another address, and at the end the tablet is empty.
func TestEnrolment(t *testing.T) {
	wantTools(t)
	c := startClass(t, buildCommand(t))
	c.tell("board/people", "text/csv", "name,group,id\nAda,East,1\nBen,East,2\n")
	b := openTab(t, newProfile(t), byName)

	// The picture leads to a page with the code in its address: a name, the machine, and in.
	began := time.Now()
	b.visit(c.named() + outPage + "#join=" + strings.ReplaceAll(c.code(""), " ", ""))
	b.comes(`document.querySelectorAll(".class-names button").length === 2`)
	looked := time.Now()
	b.wantLargeTargets("names to pick")
	b.wantHostAccessible("names to pick")
	began = began.Add(time.Since(looked))
	b.tap(".class-names button:first-of-type")
	b.tap("#ui_class-machine")
	b.do(chromedp.KeyEvent("4"))
	b.tap(`#ui_class-dialog [type="submit"]`)
	b.comes(`document.querySelector("#ui_class-door").textContent === "Tablet 1"`)
	t.Logf("joined with 3 taps after the picture, in %v", time.Since(began).Round(100*time.Millisecond))
	b.sent()
	if got := eval[string](b, `matchmark.job.learner() + " " + matchmark.job.machine()`); got != "Ada 4" {
		t.Errorf("the job has %q", got)
	}
	threeWays(t, c, b)
	trainerLooks(t, c, b)
	hostMoves(t, c, b)

	// The end of the class.
	c.tell("board/end", "application/json", "{}")
	b.comes(`location.pathname === "/" && /this tablet is empty/.test(document.querySelector("#ui_class-line").textContent)`)
	if left := eval[[]string](b, `Object.keys(localStorage).filter(k => k.startsWith("matchmark.") && k !== "matchmark.theme")`); len(left) != 0 {
		t.Errorf("the tablet still keeps %v", left)
	}
	if n := eval[int](b, `new Promise(done => { const r = indexedDB.open("matchmark", 1); r.onsuccess = () => { const q = r.result.transaction("photos").objectStore("photos").count(); q.onsuccess = () => done(q.result); }; })`); n != 0 {
		t.Errorf("the tablet still keeps %d photos", n)
	}
	var state struct {
		Class  []struct{ Number int }
		Behind []struct{ Address string }
	}
	c.trainer("board/state", &state)
	if len(state.Class) != 0 {
		t.Errorf("tablets of a class that has ended: %v", state.Class)
	}
	// What is left under the address that the host has no more, the board tells.
	if len(state.Behind) != 1 || !strings.HasPrefix(state.Behind[0].Address, "http://class.test:") {
		t.Errorf("left behind: %v", state.Behind)
	}
	b.wantSound()
}

// threeWays opens three hold points: by the board, by a code, and while the host is away by initials, which the trainer confirms later.
func threeWays(t *testing.T, c *class, b *tab) {
	rows := eval[[]string](b, `[...document.querySelectorAll(".row.sign")].map(r => r.id)`)
	if len(rows) < 3 {
		t.Fatalf("the page has the hold points %v", rows)
	}
	open := func(row string) {
		t.Helper()
		// The hold points before it that nobody signs are the learner's own.
		eval[bool](b, fmt.Sprintf(`(until => [...document.querySelectorAll(".hold")].filter(h => !h.querySelector(".sign") && h.compareDocumentPosition(until) & 4)
			.forEach(h => h.querySelectorAll("[data-hold]").forEach(i => matchmark.job.confirm(i.dataset.hold, true))))(document.getElementById(%q)), true`, row))
		b.step(eval[string](b, fmt.Sprintf(`document.getElementById(%q).closest(".step").id`, row)))
		if shut := eval[bool](b, fmt.Sprintf(`document.querySelector("#%s button[aria-pressed]").disabled && !document.querySelector("#%s > input[data-hold]").checkVisibility()`, row, row)); !shut {
			t.Errorf("%s: there is something to type or to ask for while lines are open", row)
		}
		eval[bool](b, fmt.Sprintf(`document.getElementById(%q).closest(".hold").querySelectorAll("input[type=checkbox][data-hold]").forEach(i => matchmark.job.confirm(i.dataset.hold, true)), true`, row))
		b.waitFor(fmt.Sprintf(`!document.querySelector("#%s button[aria-pressed]").disabled`, row))
	}
	signed := func(row string) {
		t.Helper()
		b.comes(fmt.Sprintf(`/Signed by Kim Holt/.test(document.querySelector("#%s .signed").textContent)`, row))
		b.waitFor(`document.querySelector("#ui_next").getAttribute("aria-disabled") === "false"`)
	}
	job := eval[string](b, `matchmark.job.record().job`)
	sign := func(path, row string) []byte {
		form, err := json.Marshal(map[string]string{"job": job, "key": "out/" + row})
		assert.NilError(t, err)
		return c.tell(path, "application/json", string(form))
	}

	open(rows[0])
	b.wantLargeTargets("hold point")
	b.tap("#" + rows[0] + " button[aria-pressed]")
	b.sent()
	sign("board/sign", rows[0])
	signed(rows[0])

	open(rows[1])
	b.sent()
	var shown struct{ Code string }
	assert.NilError(t, json.Unmarshal(sign("board/code", rows[1]), &shown))
	b.tap("#" + rows[1] + " > input:not([data-hold])")
	b.do(chromedp.KeyEvent("000000"))
	b.comes(fmt.Sprintf(`/not the code/.test(document.querySelector("#%s .sign-told").textContent)`, rows[1]))
	b.do(chromedp.KeyEvent(shown.Code))
	signed(rows[1])

	open(rows[2])
	b.sent()
	c.kill()
	b.comes(lineState + ` === "away"`)
	away := fmt.Sprintf("#%s button:last-of-type", rows[2])
	b.waitFor(fmt.Sprintf(`document.querySelector(%q).checkVisibility()`, away))
	b.wantLargeTargets("the host is away")
	b.tap(away)
	b.tap("#" + rows[2] + " > input[data-hold]")
	b.do(chromedp.KeyEvent("KH"))
	b.waitFor(fmt.Sprintf(`/Not proved/.test(document.querySelector("#%s .signed").textContent)`, rows[2]))
	b.waitFor(`document.querySelector("#ui_next").getAttribute("aria-disabled") === "false"`)
	c.start()
	b.sent()
	trainer := openTab(t, newProfile(t))
	c.enter(trainer)
	trainer.comes(`/Not proved: “KH”/.test(document.querySelector("#ui_waits").textContent)`)
	trainer.tap("#ui_waits button")
	trainer.waitFor(`document.querySelector("#ui_sign").open && /Not proved/.test(document.querySelector("#ui_sign-unproved").textContent)`)
	trainer.wantHostAccessible("an unproved hold point")
	trainer.tap("#ui_sign-yes")
	trainer.waitFor(`!document.querySelector("#ui_sign").open`)
	signed(rows[2])
	trainer.wantSound()
	trainer.close()
}

// trainerLooks has a finding stop the work, which goes on once the trainer has looked, and not by anything on the tablet.
func trainerLooks(t *testing.T, c *class, b *tab) {
	b.step("slack-drive")
	b.find("leaking")
	b.tap(`#ui_finding input[value="stops-work"]`)
	b.press(kb.Escape)
	b.sent()
	name, _ := only(t, b.record())
	b.waitFor(`document.querySelector("#ui_notices .stops") !== null && document.querySelector("#ui_next").getAttribute("aria-disabled") === "true"`)
	eval[bool](b, fmt.Sprintf(`matchmark.job.repair(%q, true), matchmark.job.write("stop/%s", "KH"), matchmark.job.find(%q, { withdrawn: true }), true`, name, name, name))
	b.sent()
	b.comes(fmt.Sprintf(`!matchmark.job.finding(%q).withdrawn`, name)) // as the host has it
	b.waitFor(`document.querySelector("#ui_notices .stops") !== null && document.querySelector("#ui_next").getAttribute("aria-disabled") === "true"`)
	trainer := openTab(t, newProfile(t))
	c.enter(trainer)
	trainer.comes(`/Stop work/.test(document.querySelector("#ui_waits").textContent)`)
	trainer.tap("#ui_waits button")
	trainer.waitFor(`document.querySelector("#ui_sign").open && /Not proved: “KH”/.test(document.querySelector("#ui_sign-unproved").textContent)`)
	trainer.wantHostAccessible("a look")
	trainer.tap("#ui_sign-show")
	trainer.comes(`/[0-9]{3} [0-9]{3}/.test(document.querySelector("#ui_sign-code").textContent)`)
	code := eval[string](trainer, `document.querySelector("#ui_sign-code").textContent.match(/[0-9]{3} [0-9]{3}/)[0]`)
	b.tap("#ui_notices .stops button")
	b.wantLargeTargets("a look in the class")
	b.do(chromedp.KeyEvent(code))
	b.tap("#ui_look .main")
	b.comes(`document.querySelector("#ui_notices .stops") === null && !document.querySelector("#ui_look").open`)
	trainer.close()
}

// hostMoves has the host come back at another port, where it is reached by the old one too, and then at another address
// alone, to which the tablet takes what it has.
func hostMoves(t *testing.T, c *class, b *tab) {
	b.step("slack-drive")
	b.find("damaged")
	b.photograph(6, 1)
	b.sent()
	c.kill()
	b.find("worn")
	b.press(kb.Escape)
	b.waitFor(`!document.querySelector("#ui_finding").open`)
	b.away()
	old := c.plain
	c.plain, c.secure = nil, nil
	c.start()
	if c.plain.Port() == old.Port() {
		t.Fatal("the host has not moved")
	}
	b.sent() // at the old port

	// Somebody else has the old ports now.
	c.kill()
	b.find("missing")
	b.photograph(3, 1)
	b.away()
	for _, port := range []string{old.Port(), c.plain.Port()} {
		taken, err := net.Listen("tcp", "127.0.0.1:"+port)
		assert.NilError(t, err)
		defer taken.Close()
	}
	c.plain, c.secure = nil, nil
	c.start()
	want := b.record()
	b.tap("#ui_class-door")
	b.waitFor(`Boolean(document.querySelector("#ui_class-address"))`)
	b.wantLargeTargets("another address")
	b.tap("#ui_class-address")
	b.do(chromedp.KeyEvent("127.0.0.1:" + c.plain.Port() + kb.Enter))
	b.comes(fmt.Sprintf(`location.port === %q && location.pathname === %q && Boolean(window.matchmark.job)`, c.plain.Port(), "/"+outPage))
	b.sent()
	if got := b.record(); got.Job != want.Job || len(got.Findings) != 4 || len(got.Photos) != 2 {
		t.Errorf("at the new address the tablet has %d findings and %d photos of the job %s", len(got.Findings), len(got.Photos), got.Job)
	}
	var state boardState
	c.trainer("board/state", &state)
	if len(state.Jobs) != 1 || len(state.Jobs[0].Findings) != 4 || state.Jobs[0].Tablets[0].Learner != "Ada" {
		t.Errorf("the board has %+v", state.Jobs)
	}
	for _, f := range state.Jobs[0].Findings {
		for _, name := range f.Photos {
			c.trainer("board/photo/"+state.Jobs[0].Job+"/"+name, nil)
		}
	}
}

// tell posts to the host as the trainer's browser does, and returns the answer.
func (c *class) tell(path, kind, body string) []byte {
	c.t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		c.t.Fatal(err)
	}
	client := &http.Client{Jar: jar, Timeout: 20 * time.Second}
	entered, err := client.Post(c.plain.String()+"board/pin", "application/json", strings.NewReader(fmt.Sprintf(`{"who":"Kim Holt","pin":%q}`, c.pin)))
	if err != nil {
		c.t.Fatal(err)
	}
	entered.Body.Close()
	answer, err := client.Post(c.plain.String()+path, kind, bytes.NewReader([]byte(body)))
	if err != nil {
		c.t.Fatal(err)
	}
	defer answer.Body.Close()
	content, err := io.ReadAll(answer.Body)
	if err != nil || answer.StatusCode >= 300 {
		c.t.Fatalf("%s: %s %s %v", path, answer.Status, content, err)
	}
	return content
}
