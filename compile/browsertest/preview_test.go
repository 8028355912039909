//go:build browser

package browsertest

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp/kb"
	"gotest.tools/v3/assert"

	"matchmark/compile"
	"matchmark/compile/preview"
	"matchmark/compile/starter"
	"matchmark/procedure/diagnostic"
)

// TestPreviewPanel edits a library while its page is open: the page lists what is
// wrong with its place, drops the list and shows the new text once it is mended,
// and says when nobody watches the library any more.
func TestPreviewPanel(t *testing.T) {
	library := filepath.Join(t.TempDir(), "library")
	if _, err := starter.Write(library); err != nil {
		t.Fatal(err)
	}
	site := filepath.Join(t.TempDir(), "site")
	server, err := preview.NewServer(site)
	assert.NilError(t, err)
	again := func() {
		t.Helper()
		var log diagnostic.Log
		_, err := compile.Site(t.Context(), os.DirFS(library), site, &log, compile.Options{})
		assert.NilError(t, server.Show(preview.Outcome{Written: err == nil, Diagnostics: log.Sorted()}))
	}
	machine := filepath.Join(library, "machines", "bench-drill.md")
	good, err := os.ReadFile(machine)
	assert.NilError(t, err)
	change := func(from, to string) {
		t.Helper()
		if !bytes.Contains(good, []byte(from)) {
			t.Fatalf("the machine file lacks %q", from)
		}
		assert.NilError(t, os.WriteFile(machine, bytes.Replace(good, []byte(from), []byte(to), 1), 0o666))
		again()
	}
	listener, err := preview.Listen(t.Context(), "127.0.0.1:0")
	assert.NilError(t, err)
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(ctx, listener) }()
	defer stop()
	address := "http://" + listener.Addr().String() + "/"

	again()
	b := openTab(t, newProfile(t))
	b.visit(address + "machine/bench-drill.html")
	if eval[bool](b, `!!document.querySelector(".preview-panel")`) {
		t.Error("the panel shows without a message")
	}

	change("| belt | Drive belt", "| belt! | Drive belt")
	b.waitFor(`!!document.querySelector(".preview-panel")`)
	if text := eval[string](b, `document.querySelector(".preview-panel").innerText`); !strings.Contains(text, "machines/bench-drill.md:") ||
		!strings.Contains(text, "error bad-name") || !strings.Contains(text, "The library has ") {
		t.Errorf("the panel says\n%s", text)
	}
	if eval[bool](b, `scrollY > 0 || document.querySelector("h1").getBoundingClientRect().top < 0`) {
		t.Error("the page moved")
	}
	// Folded by keyboard, it stays folded at the next message and leaves the page free.
	b.tabTo(".preview-fold")
	b.press(kb.Enter)
	b.waitFor(`document.querySelector(".preview-body").hidden && document.querySelector(".preview-fold").getAttribute("aria-expanded") === "false"`)
	change("| belt | Drive belt", "| belt? | Drive belt")
	b.waitFor(`document.querySelector(".preview-body").textContent.includes("belt?")`)
	b.waitFor(`document.querySelector(".preview-body").hidden`)
	b.click(".preview-fold")
	b.waitFor(`!document.querySelector(".preview-body").hidden`)
	// The end of the page can be scrolled to above the panel.
	eval[any](b, `scrollTo({top: document.documentElement.scrollHeight, behavior: "instant"})`)
	b.waitFor(`document.querySelector(".bottom").getBoundingClientRect().bottom <= document.querySelector(".preview-panel").getBoundingClientRect().top + 1`)

	change("| belt | Drive belt", "| belt | Flat belt")
	b.waitFor(`document.body.textContent.includes("Flat belt") && !document.querySelector(".preview-panel")`)
	b.wantQuiet(address)

	// A page that is not there yet opens by itself.
	b.visit(address + "machine/lathe.html")
	b.waitFor(`document.body.textContent.includes("This page is not on the site")`)
	lathe := bytes.Replace(good, []byte("id: bench-drill"), []byte("id: lathe"), 1)
	assert.NilError(t, os.WriteFile(filepath.Join(library, "machines", "lathe.md"), lathe, 0o666))
	again()
	b.waitFor(`!!document.querySelector("main table") && document.readyState === "complete"`)

	stop()
	if err := <-ended; err != nil {
		t.Error(err)
	}
	b.waitFor(`document.querySelector(".preview-panel").innerText.includes("The preview has stopped")`)
}
