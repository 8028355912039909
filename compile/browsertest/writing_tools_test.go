//go:build browser

package browsertest

import (
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"gotest.tools/v3/assert"
)

// aPhoto writes a photo as a camera gives it, with a note of how it was held.
func aPhoto(t *testing.T, name string) string {
	t.Helper()
	picture := image.NewRGBA(image.Rect(0, 0, 800, 600))
	for i := range picture.Pix {
		picture.Pix[i] = byte(i * 7)
	}
	for x := range 200 {
		for y := range 150 {
			picture.Set(x, y, color.White)
		}
	}
	file := filepath.Join(t.TempDir(), name)
	f, err := os.Create(file)
	assert.NilError(t, err)
	assert.NilError(t, jpeg.Encode(f, picture, nil))
	assert.NilError(t, f.Close())
	return file
}

// beside is a file of the library that the machine's file is in.
func (w *watched) beside(name string) string {
	w.t.Helper()
	content, err := os.ReadFile(filepath.Join(filepath.Dir(w.machine), "..", filepath.FromSlash(name)))
	assert.NilError(w.t, err)
	return string(content)
}

func isOpen(dialog string) string { return `document.querySelector("#ui_write_` + dialog + `").open` }

// TestWritingTools makes a figure of a photo with balloons, fills a register as a grid, picks a name and gets an
// earlier text back, by mouse and by keys.
func TestWritingTools(t *testing.T) {
	inTestAll(t)
	w := startWatch(t)
	w.save(strings.ReplaceAll(strings.TrimPrefix(w.source(), "\ufeff"), "\r\n", "\n"))
	b := openTab(t, newProfile(t))
	w.write(b)
	before := w.source()

	// A photo becomes a figure: its balloons by a click and by keys, its words asked for.
	b.toEnd()
	b.click("#ui_write_photo_open")
	b.waitFor(isOpen("photo"))
	b.wantHostAccessible("the writing page asking for a photo")
	b.do(chromedp.SetUploadFiles("#ui_write_photo_file", []string{aPhoto(t, "Spindle Head.jpg")}))
	b.waitFor(`document.querySelector("#ui_write_stage img")?.complete && document.querySelector("#ui_write_photo_id").value === "spindle-head"`)
	b.click("#ui_write_stage svg")
	b.waitFor(isOpen("choose"))
	b.wantHostAccessible("the writing page asking for a name")
	b.press("top-c" + kb.Enter)
	b.waitFor(`!` + isOpen("choose") + ` && document.querySelectorAll("#ui_write_balloons li").length === 1`)
	b.press(kb.ArrowLeft)
	b.press(kb.ArrowLeft)
	b.press(kb.Enter)
	b.waitFor(isOpen("choose"))
	b.press("motor" + kb.Enter)
	b.waitFor(`document.querySelectorAll("#ui_write_balloons li").length === 2`)
	b.wantHostAccessible("the writing page with a photo and balloons")
	b.click(`#ui_write_photo form button[type="submit"]`)
	b.waitFor(isOpen("photo")) // it has no words yet
	b.click("#ui_write_photo_title")
	b.press("Spindle head" + kb.Tab + `The cover lies "on top".`)
	b.click(`#ui_write_photo form button[type="submit"]`)
	b.waitFor(`!` + isOpen("photo"))
	figure := regexp.MustCompile(`(?s)^` + regexp.QuoteMeta(strings.TrimRight(before, "\n")) +
		"\n\n::: figure spindle-head \"Spindle head\" \\{src=figures/spindle-head.jpg describe=\"The cover lies ”on top”.\"\\}\n- top-cover at (?:399|400|401),(?:299|300|301)\n- motor at (?:359|360|361),(?:299|300|301)\n:::\n$")
	if !until(t, forPage, func() bool { return figure.MatchString(w.source()) }) {
		t.Fatalf("the source is\n%s", w.source())
	}
	want := w.source()
	b.waitFor(noError)

	// A register as a grid: a row by keys, a paste, a sort and the way back.
	b.click("#ui_write_grid_open")
	b.waitFor(isOpen("choose"))
	b.press("Fasteners" + kb.Enter)
	b.waitFor(isOpen("grid") + ` && document.querySelectorAll("#ui_write_cells tbody tr").length === 2`)
	b.wantHostAccessible("the writing page with a register as a grid")
	eval[any](b, `(() => {
		const cell = document.querySelector('[data-row="2"][data-column="0"]');
		cell.focus();
		document.querySelector("#ui_write_grid_row").click();
		const data = new DataTransfer();
		data.setData("text/plain", "4\tPulley screw\tscrew\tM5\t\t8.8\thex 8 mm\t1\t5 Nm\tmotor\r\n3\tCap screw\tscrew\tM5\t\t8.8\thex 8 mm\t1\t5 Nm\tmotor\r\n");
		document.activeElement.dispatchEvent(new ClipboardEvent("paste", {clipboardData: data, bubbles: true, cancelable: true}));
	})()`)
	b.waitFor(`document.querySelectorAll("#ui_write_cells tbody tr").length === 4`)
	b.click("#ui_write_grid_sort")
	b.waitFor(`document.querySelector('[data-row="3"][data-column="1"]').value === "Cap screw"`)
	b.click("#ui_write_grid_undo")
	b.waitFor(`document.querySelector('[data-row="3"][data-column="1"]').value === "Pulley screw"`)
	b.click("#ui_write_grid_redo")
	b.waitFor(`document.querySelector('[data-row="3"][data-column="1"]').value === "Cap screw"`)
	eval[any](b, `document.querySelector('[data-row="4"][data-column="1"]').focus()`)
	b.do(chromedp.KeyEvent(kb.ArrowUp, chromedp.KeyModifiers(chromedp.ModifierAlt)))
	b.waitFor(`document.activeElement.dataset.row === "3" && document.activeElement.value === "Pulley screw"`)
	b.click("#ui_write_grid_write")
	b.waitFor(`!` + isOpen("grid"))
	rows := "| 4 | Pulley screw | screw | M5 | | 8.8 | hex 8 mm | 1 | 5 N·m | motor |\n| 3 | Cap screw | screw | M5 | | 8.8 | hex 8 mm | 1 | 5 N·m | motor |\n"
	withRows := strings.Replace(want, "| motor, head |\n\n- 1: bag", "| motor, head |\n"+rows+"\n- 1: bag", 1)
	w.wantSource(withRows)
	b.intoText()
	b.do(chromedp.KeyEvent("z", chromedp.KeyModifiers(chromedp.ModifierCtrl)))
	w.wantSource(want)

	// A name from the lists stands as it is written in running text.
	b.toEnd()
	b.press("Look at ")
	b.click("#ui_write_pick_open")
	b.waitFor(isOpen("choose"))
	b.press("drive belt" + kb.Enter)
	w.wantSource(want + "Look at `belt`")

	// What was written over is got back, and the way back from there is one undo.
	b.intoText()
	b.do(chromedp.KeyEvent("a", chromedp.KeyModifiers(chromedp.ModifierCtrl)))
	b.press("gone")
	w.wantSource("gone")
	b.waitFor(isSaved)
	b.click("#ui_write_versions_open")
	b.waitFor(isOpen("versions") + ` && document.querySelectorAll("#ui_write_versions_list button").length > 0`)
	eval[any](b, `document.querySelector("#ui_write_versions_list button").click()`)
	b.waitFor(`document.querySelector("#ui_write_versions_text").textContent.includes("Look at")`)
	b.wantHostAccessible("the writing page with an earlier text")
	b.click("#ui_write_versions_back")
	w.wantSource(want + "Look at `belt`")

	for _, width := range []int{768, 1024} {
		b.resize(width)
		if wide := eval[float64](b, `document.documentElement.scrollWidth`); wide > float64(width) {
			t.Errorf("at %d px the page is %g wide", width, wide)
		}
	}
}

// Steps change places by a drag and by a key; what that does to the order stands in the list at once.
func TestStepsAreMoved(t *testing.T) {
	inTestAll(t)
	w := startWatch(t)
	b := openTab(t, newProfile(t))
	b.resize(1280) // on a narrow screen the outline is folded away
	b.visit(w.address + ".preview/write/#procedures%2Fdrill-belt-off.md")
	b.waitFor(`document.querySelectorAll("#ui_write_outline > li").length === 3 && ` + isSaved)
	steps := w.beside("procedures/drill-belt-off.md")
	eval[any](b, `(() => {
		const [first, , third] = document.querySelectorAll("#ui_write_outline > li"), data = new DataTransfer();
		const fire = (at, kind) => at.dispatchEvent(new DragEvent(kind, {bubbles: true, cancelable: true, dataTransfer: data, clientY: first.getBoundingClientRect().top + 2}));
		fire(third, "dragstart"), fire(first, "dragover"), fire(first, "drop");
	})()`)
	at := func(place int) string {
		return fmt.Sprintf(`[...document.querySelectorAll("#ui_write_outline > li")][%d].textContent.startsWith("Take the belt off")`, place)
	}
	b.waitFor(at(0))
	b.waitFor(isChecked + ` && !!document.querySelector(".write-error") && !!document.querySelector("#ui_write_outline .write-faulty")`)
	b.wantHostAccessible("the writing page with steps in a wrong order")
	for place := range 2 {
		eval[any](b, fmt.Sprintf(`document.querySelectorAll("#ui_write_outline > li")[%d].querySelector("button").focus()`, place))
		b.do(chromedp.KeyEvent(kb.ArrowDown, chromedp.KeyModifiers(chromedp.ModifierAlt)))
		b.waitFor(at(place + 1))
	}
	b.waitFor(noError)
	b.waitFor(isSaved)
	assert.Equal(t, w.beside("procedures/drill-belt-off.md"), steps)
}
