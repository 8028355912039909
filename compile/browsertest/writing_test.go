//go:build browser

package browsertest

import (
	"compress/gzip"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"gotest.tools/v3/assert"
)

// writingLimit is the most that the script of the writing page may weigh, compressed, in bytes.
const writingLimit = 160 << 10

// TestWritingScriptIsMadeFromItsSources makes the script of the writing page anew.
func TestWritingScriptIsMadeFromItsSources(t *testing.T) {
	dir := t.TempDir()
	if out, err := exec.CommandContext(t.Context(), "node", "../writing/script/build.mjs", dir).CombinedOutput(); err != nil {
		t.Fatalf("%v (bash .ci/tools validators installs what it needs)\n%s", err, out)
	}
	for _, name := range []string{"script.js", "NOTICES.txt"} {
		made, err := os.ReadFile(filepath.Join(dir, name))
		assert.NilError(t, err)
		kept, err := os.ReadFile(filepath.Join("../writing", name))
		assert.NilError(t, err)
		if string(made) != string(kept) {
			t.Errorf("compile/writing/%s is out of date: node compile/writing/script/build.mjs compile/writing", name)
		}
	}
	script, err := os.ReadFile("../writing/script.js")
	assert.NilError(t, err)
	var packed counter
	w := gzip.NewWriter(&packed)
	_, err = w.Write(script)
	assert.NilError(t, err)
	assert.NilError(t, w.Close())
	if packed > writingLimit {
		t.Errorf("the script weighs %d bytes, compressed; %d are allowed", packed, writingLimit)
	}
}

type counter int

func (c *counter) Write(p []byte) (int, error) {
	*c += counter(len(p))
	return len(p), nil
}

const (
	isSaved = `document.querySelector("#ui_write_saved").dataset.state === "saved" && document.querySelector("#ui_write_saved").textContent !== ""`
	// isChecked holds when the list of what to do is about the text that stands there now.
	isChecked = `document.querySelector("#ui_write_todo").ariaBusy === "false"`
	noError   = isChecked + ` && /^(Nothing to do|No error)/.test(document.querySelector("#ui_write_count").textContent)`
	theText   = `[...document.querySelectorAll(".cm-line")].map((l) => l.textContent).join("\n")`
)

// write opens the page to write in on the file of the machine.
func (w *watched) write(b *tab) {
	w.t.Helper()
	b.visit(w.address + ".preview/write/#machines%2Fbench-drill.md")
	b.waitFor(`document.querySelector("#ui_write_name").textContent === "machines/bench-drill.md" && ` + isSaved)
	b.waitFor(noError)
}

// intoText gives the text the focus. A click could hit a hint that has come up under the mouse meanwhile.
func (b *tab) intoText() {
	b.t.Helper()
	eval[any](b, `document.querySelector(".cm-content").focus()`)
}

// toEnd puts the cursor at the end of the text.
func (b *tab) toEnd() {
	b.t.Helper()
	b.intoText()
	b.do(chromedp.KeyEvent(kb.End, chromedp.KeyModifiers(chromedp.ModifierCtrl)))
}

// undoAll takes back all that was typed: on a slow machine that is more steps than on a fast one.
func (b *tab) undoAll() {
	b.t.Helper()
	b.toEnd()
	for range 40 {
		b.do(chromedp.KeyEvent("z", chromedp.KeyModifiers(chromedp.ModifierCtrl)))
	}
}

func TestWritingPage(t *testing.T) {
	w := startWatch(t)
	b := openTab(t, newProfile(t))
	w.write(b)
	b.wantHostAccessible("the writing page without an error")

	// What is typed is on disk, and no byte of the rest is another one.
	before := w.source()
	b.toEnd()
	b.press("Grease `bel")
	b.waitFor(`document.querySelector(".cm-tooltip-autocomplete li")?.textContent.includes("belt")`)
	if height := eval[float64](b, `document.querySelector(".cm-tooltip-autocomplete li").getBoundingClientRect().height`); height < 44 {
		t.Errorf("a row to choose is %g px high", height)
	}
	b.click(".cm-tooltip-autocomplete li:first-child") // a key would wait until the list has stood for a moment
	b.press("` lightly.")
	w.wantSource(before + "Grease `belt` lightly.")
	b.waitFor(isSaved)

	// Undo outlives a reload.
	b.do(chromedp.Reload())
	b.waitFor(`document.querySelector("#ui_write_name").textContent === "machines/bench-drill.md" && ` + isSaved)
	b.undoAll()
	w.wantSource(before)

	// A slip stands in the text and in the list, and the button mends it.
	b.toEnd()
	b.press("::: figrue x \"X\"") // no Enter: the driver sends it twice, as a key and as a character
	b.waitFor(isChecked + ` && !!document.querySelector(".write-error .write-fixes .main")`)
	b.waitFor(`!!document.querySelector(".cm-lintRange-error")`)
	b.wantHostAccessible("the writing page with a list of what to do")
	b.click(".write-error .write-fixes .main")
	w.wantSource(before + "::: figure x \"X\"")
	b.undoAll()
	w.wantSource(before)

	// Another editor writes elsewhere: both are kept.
	b.toEnd()
	b.press("My line.")
	b.waitFor(isSaved)
	w.save(strings.Replace(w.source(), "# The id is", "# Their line. The id is", 1))
	b.waitFor(`document.querySelector("#ui_write_told").textContent.includes("Somebody else changed")`)
	b.press(" And more.")
	w.wantSource(strings.Replace(before, "# The id is", "# Their line. The id is", 1) + "My line. And more.")
	b.waitFor(isSaved)

	// Another editor writes at the same place while this page has something that is not saved: nothing is written until the author chooses.
	eval[any](b, `(window.held = window.fetch, window.fetch = (at, ...rest) => at === "save" ? Promise.reject(new Error("away")) : held(at, ...rest))`)
	b.press(" Mine.")
	b.waitFor(`document.querySelector("#ui_write_saved").dataset.state === "unsaved"`)
	theirs := strings.Replace(w.source(), "And more.", "And theirs.", 1)
	w.save(theirs)
	b.waitFor(`!document.querySelector("#ui_write_conflict").hidden`)
	b.wantHostAccessible("the writing page with two texts")
	eval[any](b, `window.fetch = held`)
	if w.source() != theirs {
		t.Error("something was written over the other text")
	}
	b.click("#ui_write_conflict .write-choice button:first-child")
	w.wantSource(strings.Replace(theirs, "And theirs.", "And more. Mine.", 1))
	b.waitFor(isSaved)

	// A new name, everywhere.
	b.intoText()
	b.do(chromedp.KeyEvent("f", chromedp.KeyModifiers(chromedp.ModifierCtrl)))
	b.press("top-cover" + kb.Enter + kb.Escape)
	b.press(kb.F2)
	b.waitFor(`document.querySelector("#ui_write_rename").open`)
	b.wantHostAccessible("the writing page asking for a name")
	b.press("lid" + kb.Enter)
	w.wantSource(strings.ReplaceAll(strings.Replace(theirs, "And theirs.", "And more. Mine.", 1), "top-cover", "lid"))
	b.waitFor(noError)

	// The preview shows the file, follows the cursor, and leads back to the line.
	b.click("#ui_write_preview_toggle")
	b.click("#ui_write_preview_toggle")
	if eval[bool](b, `document.body.classList.contains("write-no-preview")`) {
		t.Error("the preview is away")
	}
	b.waitFor(`document.querySelector("#ui_write_frame").contentDocument?.body?.textContent.includes("My line.")`)

	// By keys alone one gets out of the text again.
	b.intoText()
	b.press(kb.Escape)
	b.press(kb.Tab)
	b.waitFor(`!document.activeElement.matches(".cm-content")`)
	for _, width := range []int{768, 1024, 1400} {
		b.resize(width)
		if wide := eval[float64](b, `document.documentElement.scrollWidth`); wide > float64(width) {
			t.Errorf("at %d px the page is %g wide", width, wide)
		}
	}
	b.waitFor(isSaved)
}

// TestWritingPageBeginsAFile begins a procedure from a title, fills in a step by its blanks and finds the preview at the line.
func TestWritingPageBeginsAFile(t *testing.T) {
	w := startWatch(t)
	b := openTab(t, newProfile(t))
	w.write(b)
	b.click("#ui_write_new_open")
	b.waitFor(`document.querySelector("#ui_write_new").open`)
	b.wantHostAccessible("the writing page asking for a new file")
	eval[any](b, `(() => { const k = document.querySelector("#ui_write_kind"); k.value = "procedure"; k.onchange(); })()`)
	b.press("Look at the belt" + kb.Enter)
	b.waitFor(`document.querySelector("#ui_write_name").textContent === "procedures/look-at-the-belt.md" && ` + isSaved)
	b.waitFor(`document.querySelector("#ui_write_of") !== null && ` + theText + `.includes("machine: bench-drill")`)

	// The step that a new procedure begins with is replaced by one with blanks, which are filled in by Tab.
	b.toEnd()
	b.click("#ui_write_insert_open")
	b.waitFor(`document.querySelector("#ui_write_insert").open`)
	b.wantHostAccessible("the writing page asking for a block")
	b.click("#ui_write_insert li:nth-child(1) button")
	b.press("Pull the plug" + kb.Tab + "plug" + kb.Tab + "2/3/5" + kb.Tab + "Pull the plug and lock it away." + kb.Tab + "establish isolated")
	b.waitFor(theText + `.includes("## Pull the plug {#plug}") && ` + theText + `.includes("- [ ] establish isolated")`)
	b.waitFor(isSaved)
	source, err := os.ReadFile(filepath.Join(filepath.Dir(w.machine), "..", "procedures", "look-at-the-belt.md"))
	assert.NilError(t, err)
	if !strings.Contains(string(source), "\n\n## Pull the plug {#plug}\n\n{time=2/3/5}\n\nPull the plug and lock it away.\n\n- [ ] establish isolated\n") {
		t.Errorf("the file is\n%s", source)
	}
	b.waitFor(`document.querySelectorAll("#ui_write_outline > li").length === 2`)
	b.waitFor(`[...document.querySelectorAll(".write-item")].some((i) => i.textContent.includes("look-at-the-belt"))`)

	// The preview of the procedure that is done follows the cursor, and a click in it leads to the line.
	b.resize(1400)
	b.visit(w.address + ".preview/write/?#procedures%2Fdrill-belt-off.md")
	inside := `document.querySelector("#ui_write_frame").contentDocument`
	b.waitFor(inside + `?.querySelector("#open-head") && document.querySelectorAll("#ui_write_outline > li").length === 3`)
	b.click("#ui_write_outline > li:nth-child(3) button")
	b.waitFor(`document.querySelector("#ui_write_frame").contentWindow.location.hash === "#belt-off" && !!` + inside + `?.querySelector("#belt-off.shown")`)
	if !eval[bool](b, `document.activeElement.matches(".cm-content")`) {
		t.Error("the preview takes the keys away from the text when it follows")
	}
	// The preview comes anew when the library has been compiled again, so a click may meet a page that is just going.
	b.waitFor(`(() => {
		[...` + inside + `.querySelectorAll("#open-head p")].find((p) => p.textContent.startsWith("Undo the two cover screws"))?.click();
		return document.querySelector(".cm-activeLine").textContent.startsWith("Undo the two cover screws");
	})()`)

	// The order's drawing shows the step that the cursor is in, and a click on another one leads to its line.
	b.click("#ui_write_view_order")
	box := func(step string) string { return inside + `?.querySelector('.order-drawing a[href$="#` + step + `"]')` }
	b.waitFor(box("open-head") + `?.classList.contains("write-here")`)
	b.wantHostAccessible("the writing page with the order of the steps")
	b.waitFor(`(` + box("isolate") + `?.dispatchEvent(new MouseEvent("click", {bubbles: true, cancelable: true})), document.querySelector(".cm-activeLine").textContent.startsWith("## Pull the plug"))`)
	b.waitFor(box("isolate") + `?.classList.contains("write-here") && !` + box("open-head") + `.classList.contains("write-here")`)
	b.click("#ui_write_view_loads")
	b.waitFor(inside + `?.querySelector("#lift-hands") && document.querySelector("#ui_write_view_loads").ariaPressed === "true" && document.querySelector("#ui_write_view_order").ariaPressed === "false"`)
}
