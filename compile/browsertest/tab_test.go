//go:build browser

package browsertest

import (
	"context"
	"fmt"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"gotest.tools/v3/assert"
)

// tab is one tab of a browser of its own.
type tab struct {
	t   *testing.T
	ctx context.Context

	mu         sync.Mutex
	requests   []string
	small      map[string]bool // targets that were found too small or blank
	complaints []string        // what the page wrote to the console as an error, and failed requests
}

// newProfile returns an empty profile folder. A browser's helpers write to it
// for a moment after the browser has ended, so taking it away needs some tries.
func newProfile(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "matchmark-profile")
	assert.NilError(t, err)
	t.Cleanup(func() {
		if !until(t, forPage, func() bool { err = os.RemoveAll(dir); return err == nil }) {
			t.Error(err)
		}
	})
	return dir
}

// openTab starts a browser with a profile folder and opens a tab of a tablet
// held upright, 768 by 1024. more are further flags of the browser.
func openTab(t *testing.T, profile string, more ...chromedp.ExecAllocatorOption) *tab {
	t.Helper()
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.NoSandbox, chromedp.DisableGPU, chromedp.UserDataDir(profile), chromedp.Flag("disable-quic", true),
		chromedp.Flag("disable-component-update", true), chromedp.WSURLReadTimeout(patience(t, forNetwork)))
	options = append(options, more...)
	parent, stop := context.WithTimeout(t.Context(), patience(t, forTest))
	t.Cleanup(stop)
	allocator, _ := chromedp.NewExecAllocator(parent, options...)
	ctx, _ := chromedp.NewContext(allocator)
	b := &tab{t: t, ctx: ctx, small: map[string]bool{}}
	t.Cleanup(b.close)
	if err := chromedp.Listen(ctx, b.hear); err != nil {
		t.Fatalf("Chromium does not start: %v", err)
	}
	if _, err := chromedp.Call(ctx, network.Enable, network.EnableParams{}); err != nil {
		t.Fatal(err)
	}
	if _, err := chromedp.Call(ctx, log.Enable, cdp.Empty{}); err != nil {
		t.Fatal(err)
	}
	b.do(chromedp.EmulateViewport(768, 1024, chromedp.EmulateTouch))
	return b
}

// close ends the browser as a user does, so that it writes its profile.
func (b *tab) close() {
	if b.ctx.Err() == nil {
		if err := chromedp.Cancel(b.ctx); err != nil {
			b.t.Errorf("closing the browser: %v", err)
		}
	}
}

func (b *tab) hear(event any) {
	b.mu.Lock()
	defer b.mu.Unlock()
	switch e := event.(type) {
	case *network.EventRequestWillBeSent:
		b.requests = append(b.requests, e.Request.URL)
	case *network.EventLoadingFailed:
		if !e.Canceled {
			b.complaints = append(b.complaints, "request failed: "+e.ErrorText)
		}
	case *network.EventResponseReceived:
		if e.Response.Status >= 400 {
			b.complaints = append(b.complaints, fmt.Sprintf("%s: status %d", e.Response.URL, e.Response.Status))
		}
	case *runtime.EventExceptionThrown:
		b.complaints = append(b.complaints, "exception: "+e.ExceptionDetails.Text+" "+said(e.ExceptionDetails.Exception))
	case *runtime.EventConsoleAPICalled:
		if e.Type == runtime.ConsoleAPICalledTypeError || e.Type == runtime.ConsoleAPICalledTypeWarning {
			b.complaints = append(b.complaints, "console: "+said(e.Args...))
		}
	case *log.EventEntryAdded:
		if e.Entry.Level == log.EntryLevelError || e.Entry.Level == log.EntryLevelWarning {
			b.complaints = append(b.complaints, fmt.Sprintf("log: %s (%s)", e.Entry.Text, e.Entry.URL))
		}
	}
}

// said returns values of the page in words.
func said(values ...*runtime.RemoteObject) string {
	var words []string
	for _, value := range values {
		if value != nil {
			words = append(words, value.Description+string(value.Value))
		}
	}
	return strings.Join(words, " ")
}

// wantQuiet fails when a page complained, or asked for anything that does not
// begin with the site's address.
func (b *tab) wantQuiet(site string) {
	b.t.Helper()
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, complaint := range b.complaints {
		b.t.Errorf("a page complains: %s", complaint)
	}
	own := 0
	for _, request := range b.requests {
		switch {
		case strings.HasPrefix(request, site):
			own++
		case !strings.HasPrefix(request, "data:") && !strings.HasPrefix(request, "blob:"):
			b.t.Errorf("a request leaves the site: %s", request)
		}
	}
	if own == 0 {
		b.t.Errorf("no request to the site was seen among %d", len(b.requests))
	}
}

func (b *tab) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	if err := chromedp.Do(b.ctx, steps...); err != nil {
		b.t.Fatal(err)
	}
}

func (b *tab) visit(address string) {
	b.t.Helper()
	b.do(chromedp.Navigate(address))
}

// resize changes the width of the window; a tablet's other side makes it lie on its side.
func (b *tab) resize(width int) {
	b.t.Helper()
	height := int64(1024)
	if width == 1024 {
		height = 768
	}
	b.do(chromedp.EmulateViewport(int64(width), height, chromedp.EmulateTouch))
}

// eval returns what an expression, or a promise, gives in the page.
func eval[T any](b *tab, expression string) T {
	b.t.Helper()
	value, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		b.t.Fatalf("%s: %v", abridged(expression), err)
	}
	return value
}

func abridged(s string) string {
	if len(s) > 200 {
		return s[:200] + "…"
	}
	return s
}

// waitFor waits until an expression is true in the page.
func (b *tab) waitFor(expression string) {
	b.t.Helper()
	b.waitWithin(forPage, expression)
}

// waitWithin waits so long at most until an expression is true in the page.
func (b *tab) waitWithin(most time.Duration, expression string) {
	b.t.Helper()
	var err error
	if !until(b.t, most, func() bool {
		// An error is a page that is just being left, or not there yet.
		var is bool
		is, err = chromedp.Run(b.ctx, chromedp.Evaluate[bool](expression))
		return is && err == nil
	}) {
		said, _ := chromedp.Run(b.ctx, chromedp.Evaluate[string](state))
		b.t.Fatalf("waited in vain for %s: %v; on the page: %s", abridged(expression), err, said)
	}
}

// state is what somebody who sees the page would say of it, where a test waits in vain.
const state = `JSON.stringify({
	at: location.href, focus: document.activeElement?.id || document.activeElement?.className || document.activeElement?.localName,
	open: [...document.querySelectorAll("dialog[open]")].map((d) => d.id + ": " + d.innerText.slice(0, 200)),
	told: [...document.querySelectorAll("[role=alert], [role=status], output")].map((e) => e.id + ": " + e.innerText).filter((s) => s.length < 300),
	typed: [...document.querySelectorAll("dialog[open] :is(input, select, textarea)")].map((e) => e.id + "=" + e.value),
})`

// spot is a place in the window.
type spot struct{ X, Y float64 }

// reachable scrolls the one element of a selector into the middle and gives its centre, or why a user could not hit it there.
const reachable = `(() => {
	const all = document.querySelectorAll(%q);
	if (all.length !== 1) return {Fault: all.length + " elements"};
	const e = all[0];
	if (!e.getClientRects().length) return {Fault: "not shown"}; // scrolling to it would take a tap away that is on its way
	e.scrollIntoView({block: "center", behavior: "instant"});
	const box = e.getBoundingClientRect();
	const X = box.x + box.width / 2, Y = box.y + box.height / 2;
	const hit = document.elementFromPoint(X, Y);
	if (!hit) return {Fault: "out of sight at " + X + " " + Y};
	if (e.contains(hit) || hit.contains(e) && hit.closest("label, a, button") || [...(e.labels || [])].some(l => l.contains(hit))) return {X, Y, Fault: ""};
	return {Fault: "covered by " + hit.outerHTML.slice(0, 120)};
})()`

// found is what reachable gives.
type found struct {
	spot
	Fault string
}

// reach scrolls an element into the middle and returns its centre. It fails when a user could not hit the element there
// once the page has come to rest: a list that just opened has no place yet. A box inside a label is hit by the label too.
func (b *tab) reach(selector string) spot {
	b.t.Helper()
	var e found
	if !until(b.t, forPage, func() bool {
		e = eval[found](b, fmt.Sprintf(reachable, selector))
		return e.Fault == ""
	}) {
		b.t.Fatalf("%s cannot be hit: %s", selector, e.Fault)
	}
	return e.spot
}

// click clicks the one element of a selector with a mouse.
func (b *tab) click(selector string) {
	b.t.Helper()
	at := b.reach(selector)
	b.do(chromedp.MouseClickXY(at.X, at.Y))
}

// tap taps the one element of a selector with a finger.
func (b *tab) tap(selector string) {
	b.t.Helper()
	at := b.reach(selector)
	b.do(chromedp.TapXY(at.X, at.Y))
}

// press presses a key once.
func (b *tab) press(keys string) {
	b.t.Helper()
	b.do(chromedp.KeyEvent(keys))
}

// tabTo presses Tab until the element that has the focus matches a selector.
func (b *tab) tabTo(selector string) {
	b.t.Helper()
	b.pressUntil(kb.Tab, fmt.Sprintf(`document.activeElement.matches(%q)`, selector))
}

// pressUntil presses a key until an expression is true.
func (b *tab) pressUntil(key, expression string) {
	b.t.Helper()
	for range 80 {
		if eval[bool](b, expression) {
			return
		}
		b.press(key)
	}
	b.t.Fatalf("pressed a key 80 times in vain for %s; the focus is on %s", expression, eval[string](b, `document.activeElement.outerHTML.slice(0, 200)`))
}

// prefer makes the device prefer light or dark pages.
func (b *tab) prefer(scheme string) {
	b.t.Helper()
	_, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}},
	})
	if err != nil {
		b.t.Fatal(err)
	}
}
