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

	"matchmark/procedure/record"
)

// TestBoardHears checks that the board shows a change when it comes: by the host's events, and by asking
// where the host has no event stream left.
func TestBoardHears(t *testing.T) {
	wantTools(t)
	c := startClass(t, buildCommand(t))
	for _, address := range []string{c.plain.String(), c.secure.String()} {
		b := openTab(t, newProfile(t), c.trusting())
		c.enterAt(b, address)
		// A board that is told of changes asks seldom.
		b.waitFor(`performance.getEntriesByType("resource").filter(e => e.name.endsWith("/board/state")).length >= 2`)
		eval[bool](b, `performance.clearResourceTimings(), true`)
		time.Sleep(5 * time.Second)
		if n := eval[int](b, `performance.getEntriesByType("resource").filter(e => e.name.endsWith("/board/state")).length`); n > 1 {
			t.Errorf("%s: a quiet board asked %d times in five seconds", address, n)
		}
		began := time.Now()
		c.begin(t, strings.Split(address, ":")[0])
		b.waitFor(fmt.Sprintf(`document.querySelector("#ui_jobs").textContent.includes("Bench %s")`, strings.Split(address, ":")[0]))
		if took := time.Since(began); took > 3*time.Second {
			t.Errorf("%s: the board showed a new job after %v", address, took)
		}
		// A board that was left to itself goes on when it is looked at again.
		b.visit("about:blank")
		b.visit(address + "board/")
		b.waitFor(`document.querySelectorAll("#ui_jobs article").length > 0`)
		b.wantSound()
		b.close()
	}

	// All streams of this address are taken: the board asks instead.
	for range 4 {
		defer c.listen(t)()
	}
	b := openTab(t, newProfile(t))
	c.enterAt(b, c.plain.String())
	c.begin(t, "late")
	b.waitWithin(6*time.Second, `document.querySelector("#ui_jobs").textContent.includes("Bench late")`)
	if text := eval[string](b, `document.querySelector("#ui_reach").textContent`); text != "Up to date" {
		t.Errorf("the board that asks says %q", text)
	}
}

// TestKeyIsForTheTrainer follows a learner's tablet, and then the trainer, to the key of a quiz.
func TestKeyIsForTheTrainer(t *testing.T) {
	wantTools(t)
	c := startClass(t, buildCommand(t))
	b := openTab(t, newProfile(t), c.trusting())
	quiz := c.secure.String() + "quiz/mixer-quiz/"
	b.visit(quiz + "index.html")
	b.waitFor(`navigator.serviceWorker.controller !== null`)
	b.visit(quiz + "key.html")
	if text := eval[string](b, `document.body.innerText`); !strings.Contains(text, "answers to a quiz") || strings.Contains(text, "Every action") {
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
	// The worker has had its time with pages that lead to the key, and with the key itself.
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

// begin sends the record of a job that was begun on a machine of this name.
func (c *class) begin(t *testing.T, name string) {
	t.Helper()
	job := (name + strings.Repeat("a", 26))[:26]
	stamp := record.Stamp{At: 1_000, Tablet: strings.Repeat("t", 26)}
	body, err := json.Marshal(record.Record{
		Format: record.Format, Version: record.Version, Job: job, Procedure: "oven-fan-out", Edition: "1", Content: strings.Repeat("0", 16),
		Machine: record.Entry[string]{Value: "Bench " + name, Stamp: stamp},
		Tablets: map[string]record.Tablet{stamp.Tablet: {Way: record.Out, Stamp: stamp}},
	})
	if err != nil {
		t.Fatal(err)
	}
	answer, err := http.Post(c.plain.String()+"class/record", "application/json", bytes.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		why, err := io.ReadAll(answer.Body)
		t.Fatalf("the record is answered with %s %s %v", answer.Status, why, err)
	}
}

// listen takes an event stream of the host and returns what ends it.
func (c *class) listen(t *testing.T) (end func()) {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	client := &http.Client{Jar: jar, Transport: &http.Transport{}}
	entered, err := client.Post(c.plain.String()+"board/pin", "application/json", strings.NewReader(fmt.Sprintf(`{"who":"Kim Holt","pin":%q}`, c.pin)))
	if err != nil {
		t.Fatal(err)
	}
	entered.Body.Close()
	stream, err := client.Get(c.plain.String() + "board/events")
	if err != nil || stream.StatusCode != http.StatusOK {
		t.Fatalf("the stream: %v %v", stream, err)
	}
	return func() { stream.Body.Close() }
}
