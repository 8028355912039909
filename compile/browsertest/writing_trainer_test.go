//go:build browser

package browsertest

import (
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"gotest.tools/v3/assert"
)

// trainer writes by mouse and keyboard in the page, and counts what that takes.
type trainer struct {
	*tab
	keys, clicks int
}

// types types a text. A line's end is Enter.
func (p *trainer) types(text string) {
	p.t.Helper()
	for i, line := range strings.Split(text, "\n") {
		if i > 0 {
			p.enter()
		}
		if line != "" {
			p.press(line)
			p.keys += utf8.RuneCountInString(line)
		}
	}
}

// enter presses Enter once: the driver's own sends a character behind the key, which is a second one.
func (p *trainer) enter() {
	p.t.Helper()
	p.keys++
	for _, way := range []input.DispatchKeyEventParams{
		{Type: input.DispatchKeyEventTypeKeyDown, Key: "Enter", Code: "Enter", WindowsVirtualKeyCode: 13, Text: "\r"},
		{Type: input.DispatchKeyEventTypeKeyUp, Key: "Enter", Code: "Enter", WindowsVirtualKeyCode: 13},
	} {
		if _, err := chromedp.Call(p.ctx, input.DispatchKeyEvent, way); err != nil {
			p.t.Fatal(err)
		}
	}
}

// key presses a key that writes nothing, some times; with others held down.
func (p *trainer) key(key string, times int, held ...chromedp.Modifier) {
	p.t.Helper()
	for range times {
		p.do(chromedp.KeyEvent(key, chromedp.KeyModifiers(held...)))
		p.keys++
	}
}

func (p *trainer) touch(selector string) {
	p.t.Helper()
	p.click(selector)
	p.clicks++
}

// begins makes a new file. keys go from the title to the kind of file and choose it.
func (p *trainer) begins(kind, title, name string) {
	p.t.Helper()
	p.touch("#ui_write_new_open")
	p.waitFor(isOpen("new"))
	p.key(kb.Tab, 1, chromedp.ModifierShift)
	p.types(kind)
	p.key(kb.Tab, 1)
	p.types(title + "\n")
	p.waitFor(fmt.Sprintf(`!%s && document.querySelector("#ui_write_name").textContent === %q && %s`, isOpen("new"), name, isSaved))
}

// fills writes a register as a grid, cell by cell.
func (p *trainer) fills(register string, rows ...string) {
	p.t.Helper()
	p.touch("#ui_write_grid_open")
	p.waitFor(isOpen("choose"))
	p.types(register + "\n")
	p.waitFor(isOpen("grid") + ` && document.activeElement.dataset.column === "0"`)
	for i, row := range rows {
		if i > 0 {
			p.enter()
		}
		for j, cell := range strings.Split(row, "|") {
			if j > 0 {
				p.key(kb.Tab, 1)
			}
			p.types(cell)
		}
	}
	p.touch("#ui_write_grid_write")
	p.waitFor(`!` + isOpen("grid"))
}

// shows makes a figure of a photo: a balloon for each thing, by a click on it.
func (p *trainer) shows(photo, title, describe string, things ...string) {
	p.t.Helper()
	p.touch("#ui_write_photo_open")
	p.waitFor(isOpen("photo"))
	p.clicks++ // the browser's own window, in which a photo is chosen
	p.do(chromedp.SetUploadFiles("#ui_write_photo_file", []string{aPhoto(p.t, photo)}))
	p.waitFor(`document.querySelector("#ui_write_stage img")?.complete && document.activeElement.id === "ui_write_photo_title"`)
	p.types(title)
	p.key(kb.Tab, 1)
	p.types(describe)
	for i, thing := range things {
		p.reach("#ui_write_stage svg") // scrolls it into sight
		at := eval[spot](p.tab, fmt.Sprintf(`(() => {
			const box = document.querySelector("#ui_write_stage svg").getBoundingClientRect();
			return {X: box.x + box.width * (0.3 + 0.2 * %[1]d), Y: box.y + box.height * 0.5};
		})()`, i))
		p.do(chromedp.MouseClickXY(at.X, at.Y))
		p.clicks++
		p.waitFor(isOpen("choose"))
		p.types(thing + "\n")
		p.waitFor(fmt.Sprintf(`!%s && document.querySelectorAll("#ui_write_balloons li").length === %d`, isOpen("choose"), i+1))
	}
	p.touch(`#ui_write_photo form button[type="submit"]`)
	p.waitFor(`!` + isOpen("photo"))
}

// step puts a step in by its blanks: the time stays as it is proposed.
func (p *trainer) step(title, name, words string, acts ...string) {
	p.t.Helper()
	p.touch("#ui_write_insert_open")
	p.waitFor(isOpen("insert"))
	p.touch("#ui_write_insert li:nth-child(1) button")
	p.waitFor(`!` + isOpen("insert") + ` && document.activeElement.matches(".cm-content")`)
	p.types(title)
	p.key(kb.Tab, 1)
	p.types(name)
	p.key(kb.Tab, 2)
	p.types(words)
	p.key(kb.Tab, 1)
	p.types(strings.Join(acts, "\n- [ ] "))
	p.key(kb.End, 1, chromedp.ModifierCtrl)
	p.waitFor(theText + fmt.Sprintf(`.includes(%q)`, "- [ ] "+strings.Join(acts, "\n- [ ] ")+"\n"))
}

// clean waits until the whole library is looked at, as it is on disk, and no error is left.
func (p *trainer) clean() {
	p.t.Helper()
	p.waitFor(isSaved)
	p.waitFor(noError)
}

// TestANewTrainerWrites goes from "matchmark new" to a library of one machine with four photos, ten steps and a quiz,
// without an error, by mouse and keyboard in the page only. The guide says what that takes.
func TestANewTrainerWrites(t *testing.T) {
	inTestAll(t)
	w := startWatch(t)
	p := &trainer{tab: openTab(t, newProfile(t))}
	p.do(chromedp.EmulateViewport(1400, 1000))
	p.visit(w.address + ".preview/write/#machines%2Fbench-drill.md")
	p.waitFor(`document.querySelector("#ui_write_name").textContent === "machines/bench-drill.md" && ` + isSaved)
	begun := time.Now()

	// The example goes, once it has been read: a quiz before the procedure that it is about.
	for _, name := range []string{"courses/first-course.md", "quizzes/drill-quiz.md", "refits/drill-belt-on.md", "procedures/drill-belt-off.md", "machines/bench-drill.md"} {
		p.touch(fmt.Sprintf(`.write-file[data-file=%q]`, name))
		p.waitFor(fmt.Sprintf(`document.querySelector("#ui_write_name").textContent === %q && %s`, name, isSaved))
		p.touch("#ui_write_drop_open")
		p.waitFor(fmt.Sprintf(`!document.querySelector("#ui_write_conflict").hidden && !document.querySelector('.write-file[data-file=%q]')`, name))
	}

	p.begins("m", "Bench grinder", "machines/bench-grinder.md")
	p.fills("parts", "body|B|Body with motor|||yes", "shield|S|Eye shield|0.3 kg|on a cloth", "rest|R|Tool rest|0.5 kg|flat on the bench",
		"guard|G|Side guard|1 kg|flat on the bench", "wheel|W|Grinding wheel|1.2 kg|flat on a dry shelf")
	p.fills("fasteners", "1|Shield screw|screw|M5|8.8|hex 8 mm|2|5 Nm|shield, body", "2|Rest bolt|bolt|M8|8.8|hex 13 mm|1|25 Nm|rest, body",
		"3|Guard screw|screw|M6|8.8|hex 10 mm|3|9 Nm|guard, body", "4|Flange nut|nut|M12|8|hex 18 mm|1|60 Nm|wheel, body")
	p.fills("conditions", "isolated|Plug locked away||take off your own lock and plug in|yes")
	p.fills("tools", "lock-box|tool|Box with a lock|1 pcs|establish isolated", "socket-8|tool|Socket 8 mm|1 pcs|hex 8 mm",
		"socket-10|tool|Socket 10 mm|1 pcs|hex 10 mm", "socket-13|tool|Socket 13 mm|1 pcs|hex 13 mm", "socket-18|tool|Socket 18 mm|1 pcs|hex 18 mm",
		"wrench|tool|Torque wrench|1 pcs|loosen, remove, 4-80 Nm ± 4 %", "chalk|marking|Chalk|1 pcs|mark")
	p.key(kb.End, 1, chromedp.ModifierCtrl)
	p.shows("shield.jpg", "Eye shield", "A clear shield in front of the wheel, held by two screws.", "shield", "1")
	p.shows("rest.jpg", "Tool rest", "A flat rest before the wheel, held by one bolt.", "rest", "2")
	p.shows("guard.jpg", "Side guard", "A round cover on the left, held by three screws.", "guard", "3")
	p.shows("wheel.jpg", "Wheel", "The wheel on its shaft, with one nut in the middle.", "wheel", "4")
	p.clean()

	p.begins("p", "Take the wheel off", "procedures/take-the-wheel-off.md")
	p.key(kb.ArrowUp, 4, chromedp.ModifierShift) // the frame of a first step
	p.key(kb.Backspace, 1)
	p.step("Pull the plug", "plug", "Switch off. Pull the plug. Lock it into its box.", "establish isolated")
	p.step("Prove it", "prove", "Press the start button. Nothing may move.", "verify isolated")
	p.step("Take the eye shield off", "shield-off", "Undo both screws.", "remove 1", "remove shield")
	p.step("Take the tool rest off", "rest-off", "Hold the rest.", "remove 2", "remove rest")
	p.step("Look at the tool rest", "rest-seen", "No notch may be deeper than a scratch.", "inspect rest")
	p.step("Take the side guard off", "guard-off", "Undo the three screws.", "remove 3", "remove guard")
	p.step("Mark the wheel", "wheel-marked", "Draw an arrow in the running direction.", "mark wheel")
	p.step("Undo the flange nut", "nut-off", "Hold the wheel with a rag.", "remove 4")
	p.step("Take the wheel off", "wheel-off", "Draw it off with both hands.", "remove wheel")
	p.step("Look at the wheel", "wheel-seen", "Hang it up. Tap it. It must ring clear.", "inspect wheel")
	p.clean()

	p.begins("q", "Wheel quiz", "quizzes/wheel-quiz.md")
	p.types("::: question key {type=single step=plug}\nWhere is the key while you work?\n\n- [x] In my pocket.\n- [ ] In the lock.\n:::\n\n" +
		"::: question ring {type=true-false step=wheel-seen answer=true}\nA sound wheel rings clear.\n:::")
	p.clean()
	took := time.Since(begun)

	// The site is there: the page that the trainer takes to the bench, with its pictures, and the quiz.
	p.visit(w.address + "procedure/take-the-wheel-off/steps.html")
	p.waitFor(`document.querySelectorAll(".step:not(#ui_end)").length === 10 && !!document.querySelector("#nut-off .figure-sheet")`)
	p.visit(w.address + "quiz/wheel-quiz/index.html")
	p.waitFor(`document.querySelectorAll(".question").length === 2`)

	bare := 0
	for _, name := range []string{"machines/bench-grinder.md", "procedures/take-the-wheel-off.md", "quizzes/wheel-quiz.md"} {
		bare += utf8.RuneCountInString(w.beside(name))
	}
	t.Logf("%d keys and %d clicks, %s; the same text has %d characters", p.keys, p.clicks, took.Round(time.Second), bare)
	guide, err := os.ReadFile("../reference/guide/measured.md")
	assert.NilError(t, err)
	said := regexp.MustCompile(`([\d,]+) keys and ([\d,]+) clicks[^.]*; the same text has ([\d,]+) characters`).FindStringSubmatch(string(guide))
	if said == nil || fmt.Sprint(said[1:]) != fmt.Sprint([]string{grouped(p.keys), grouped(p.clicks), grouped(bare)}) {
		t.Errorf("the guide says %v, measured are %d keys, %d clicks, %d characters", said, p.keys, p.clicks, bare)
	}
}

// grouped writes a number below a million with a comma between thousands.
func grouped(n int) string {
	if n < 1000 {
		return fmt.Sprint(n)
	}
	return fmt.Sprintf("%d,%03d", n/1000, n%1000)
}
