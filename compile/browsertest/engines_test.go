//go:build browser && engines

package browsertest

import (
	"encoding/base64"
	"fmt"
	"strings"
	"testing"
)

// TestEngines does in Chromium, Firefox and WebKit what a class does with its tablets, and measures what is on the screen.
func TestEngines(t *testing.T) {
	s, bin := compileDemo(t), buildCommand(t)
	for _, e := range engines {
		t.Run(e.name, func(t *testing.T) {
			h := &hand{t, e.start(t)}
			h.resize(768, 1024)
			for _, walk := range []struct {
				name string
				test func(*hand)
			}{
				{"step view", func(h *hand) { stepView(h, s) }},
				{"whole job", func(h *hand) { wholeJob(h, s) }},
				{"quiz", func(h *hand) { wholeQuiz(h, s) }},
				{"writing", func(h *hand) { writesAFile(h, startWatch(h.t)) }},
				{"class", func(h *hand) { classHour(h, startClass(h.t, bin)) }},
			} {
				t.Run(walk.name, func(t *testing.T) {
					at := *h
					at.t = t
					walk.test(&at)
				})
			}
		})
	}
}

// stepView looks at every step on a tablet in both positions, and on a phone.
func stepView(h *hand, s *site) {
	h.open(s.file(outPage))
	h.wait(`window.matchmark && matchmark.job && document.querySelector(".step.shown button")`)
	if gone := in[int](h, `new Promise(drawn => setTimeout(() => drawn([...document.images].filter(i => i.complete && i.naturalWidth === 0).length), 0))`); gone != 0 {
		h.t.Errorf("%d pictures are missing", gone)
	}
	in[bool](h, confirmAll)
	for _, size := range []struct{ width, height int }{{768, 1024}, {1024, 768}, {390, 844}} {
		h.resize(size.width, size.height)
		seen := in[[]struct {
			ID          string
			Gone, Fault []string
		}](h, everyStep)
		var missed []string
		for _, step := range seen {
			if len(step.Gone) > 0 {
				missed = append(missed, fmt.Sprintf("%s %v", step.ID, step.Gone))
			}
			for _, fault := range step.Fault {
				h.t.Errorf("%d by %d, %s: %s", size.width, size.height, step.ID, fault)
			}
		}
		// One in eight: the demo's longest job, and letters that differ in width by the browser. All jobs together are held to one in ten.
		if size.width > 700 && len(missed)*8 > len(seen) || len(seen) < 20 {
			h.t.Errorf("%d by %d, %d of %d steps do not stand on one screen: %s", size.width, size.height, len(missed), len(seen), strings.Join(missed, "; "))
		}
		h.step("hoist-on")
		h.sound(fmt.Sprintf("step %d", size.width))
	}
	h.resize(768, 1024)
}

// everyStep turns to each step and looks at it as it is drawn then.
const everyStep = `(async () => {
	const found = [];
	for (const step of document.querySelectorAll(".step:not(#ui_end)")) {
		location.hash = step.id;
		while (!step.matches(".shown")) await new Promise(later => setTimeout(later, 5));
		await new Promise(drawn => requestAnimationFrame(() => requestAnimationFrame(drawn)));
		found.push({ID: step.id, Gone: ` + outOfSight + `, Fault: ` + unsigned + `});
	}
	return found;
})()`

// step turns to a step of the page that is open.
func (h *hand) step(id string) {
	h.t.Helper()
	in[bool](h, fmt.Sprintf(`(location.hash = %q, true)`, id))
	h.wait(fmt.Sprintf(`document.getElementById(%q).matches(".shown")`, id))
	in[bool](h, `new Promise(drawn => requestAnimationFrame(() => requestAnimationFrame(() => drawn(true))))`)
}

// wholeJob works through a job from its first step to its end: every box is ticked, every value read off, every hold point given.
func wholeJob(h *hand, s *site) {
	h.open(s.file(s.first("procedure/sheeter-roller-out/steps*.html")))
	h.wait(`window.matchmark && matchmark.job && document.querySelector(".step.shown")`)
	steps := in[int](h, `document.querySelectorAll("#ui_steps > .step").length`)
	for range steps + 1 {
		now := in[place](h, placeNow)
		if now.Step == "ui_end" {
			if left := in[int](h, `document.querySelectorAll("[data-tick]:not(:checked)").length`); left > 0 {
				h.t.Errorf("at the end %d ticks are open", left)
			}
			h.sound("end of the job")
			return
		}
		for _, tick := range append(now.Open, now.Holds...) {
			h.press("#" + tick)
		}
		for _, value := range now.Values {
			h.write("#"+value.ID, value.Good)
		}
		for _, sign := range now.Signs {
			h.write("#"+sign, "AB")
		}
		h.press("#ui_next")
		h.wait(fmt.Sprintf(`document.querySelector(".step.shown").id !== %q`, now.Step))
	}
	h.t.Errorf("the walk ends at %s", in[place](h, placeNow).Step)
}

// wholeQuiz answers the quiz from its first question to its last, the first two of several choices wrong.
func wholeQuiz(h *hand, s *site) {
	h.open(s.file("quiz/mixer-quiz/index.html"))
	h.wait(`!document.querySelector("#quiz-begin").hidden`)
	h.sound("quiz, start")
	h.press("#quiz-go")
	const shown = `document.querySelector(".question:not([hidden])")`
	kinds := map[string]bool{}
	for wrong := 2; in[bool](h, shown+` !== null`); {
		q := in[struct {
			ID, Kind, Target string
			Chosen           []int
			Number           struct{ Low string }
		}](h, `JSON.parse(document.querySelector("#quiz-key").textContent).questions.find(q => "question-" + q.id === `+shown+`.id)`)
		f := "#question-" + q.ID + " "
		if !kinds[q.Kind] {
			h.sound("quiz, " + q.Kind)
		}
		h.answer(f, q.Kind, q.Target, q.Number.Low, q.Chosen, wrong > 0)
		if q.Kind == "single" {
			wrong--
		}
		h.press(f + ".check-answer")
		h.wait(fmt.Sprintf(`document.querySelector(%q).matches(".answered")`, f))
		if !kinds[q.Kind] {
			h.sound("quiz, " + q.Kind + " answered")
		}
		kinds[q.Kind] = true
		h.press(f + ".next")
		h.wait(fmt.Sprintf(`document.querySelector(%q).hidden`, f))
	}
	if len(kinds) < 6 {
		h.t.Errorf("kinds of questions seen: %v, want six", kinds)
	}
	h.wait(`!document.querySelector("#quiz-result").hidden`)
	h.sound("quiz, result")
	if wrong := in[int](h, `document.querySelectorAll("#result-list .wrong").length`); wrong != 2 {
		h.t.Errorf("%d questions count as wrong, want two", wrong)
	}
	if again := in[int](h, `document.querySelectorAll("#result-again li").length`); again == 0 {
		h.t.Error("nothing is named to be read again")
	}
	// Only what was missed is asked again, and it is no new result.
	h.press("#result-missed")
	h.wait(shown + ` !== null`)
	if of := in[string](h, `document.querySelector("#quiz-count").textContent`); !strings.HasSuffix(of, " 2") {
		h.t.Errorf("asking again what was missed says %q", of)
	}
}

// answer answers a question, a single choice wrong where that is wanted.
func (h *hand) answer(f, kind, target, low string, chosen []int, wrong bool) {
	h.t.Helper()
	switch kind {
	case "number":
		h.write(f+"[name=number]", low)
	case "point":
		h.press(fmt.Sprintf(`%s[name=target][value=%q]`, f, target))
	case "order":
		h.signed(f + ".line:nth-child(2) .up")
		h.signed(f + ".line:nth-child(2) .down")
		for at, value := range chosen {
			for in[int](h, fmt.Sprintf(`[...document.querySelectorAll(%q)].findIndex(l => l.dataset.value === "%d")`, f+".line", value)) > at {
				h.press(fmt.Sprintf(`%s[data-value="%d"] .up`, f, value))
			}
		}
	case "single":
		if wrong {
			chosen = []int{chosen[0]%2 + 1}
		}
		h.press(fmt.Sprintf(`%s[name=choice][value="%d"]`, f, chosen[0]))
	default:
		for _, value := range chosen {
			h.press(fmt.Sprintf(`%s[name=choice][value="%d"]`, f, value))
		}
	}
}

// classHour joins the class, finds something and photographs it, waits at a hold point, and has the trainer sign it on the board.
func classHour(h *hand, c *class) {
	h.open(c.plain.String() + outPage)
	h.wait(lineState + ` === "stranger"`)
	h.press("#ui_class-door")
	h.wait(`document.querySelector("#ui_class-dialog").open && document.querySelector("#ui_class-code")`)
	h.sound("joining, the code")
	h.write("#ui_class-code", c.code(""))
	h.press(`#ui_class-dialog [type="submit"]`)
	h.wait(`document.querySelector("#ui_class-name")`)
	h.sound("joining, the name")
	h.write("#ui_class-name", "Ada")
	h.write("#ui_class-machine", "Bench 3")
	h.press(`#ui_class-dialog [type="submit"]`)
	h.wait(`!document.querySelector("#ui_class-dialog").open && ` + lineState + ` === "sent"`)

	in[bool](h, `[...document.querySelectorAll("[data-hold]")].map(i => i.dataset.hold === "hoist-on--sign" || matchmark.job.confirm(i.dataset.hold, i.type === "text" ? "AB" : true)).length > 0`)
	h.step("slack-drive")
	h.press("#ui_open-finding")
	h.wait(`document.querySelector("#ui_finding").open`)
	h.sound("finding, the part")
	in[bool](h, `(document.querySelector('#ui_finding [data-pick^="thing "]').setAttribute("data-first", ""), true)`)
	h.press("#ui_finding [data-first]")
	h.press(`#ui_finding [data-pick="kind damaged"]`)
	h.sound("finding, details")
	in[bool](h, fmt.Sprintf(`(() => {
		const files = new DataTransfer(), field = document.querySelector('#ui_finding [data-photo="file"]');
		files.items.add(new File([Uint8Array.from(atob(%q), c => c.charCodeAt(0))], "photo.jpg", {type: "image/jpeg"}));
		field.files = files.files;
		return field.dispatchEvent(new Event("change", {bubbles: true}));
	})()`, base64.StdEncoding.EncodeToString(photoWithOrientation(h.t, 6))))
	h.wait(`document.querySelector("#ui_finding .photo img") && document.querySelector("#ui_finding .photo img").naturalHeight === 96`)
	h.sound("finding, photo")
	in[bool](h, `(document.querySelector("#ui_finding").close(), true)`) // as Escape does
	h.step("hoist-on")
	h.press("#hoist-on .row.sign button[aria-pressed]")
	h.wait(lineState + ` === "sent"`)
	h.sound("hold point")

	h.open(c.plain.String() + "board/")
	h.wait(`!document.querySelector("#ui_pin-form").hidden`)
	h.sound("board, the PIN")
	h.write("#ui_pin-who", "Kim Holt")
	h.write("#ui_pin", c.pin)
	h.press(`#ui_pin-form [type="submit"]`)
	h.wait(`!document.querySelector("#ui_board").hidden && document.querySelectorAll("#ui_findings article").length === 1`)
	for _, width := range []int{390, 768, 1024} {
		h.resize(width, 800)
		h.sound(fmt.Sprintf("board %d", width))
	}
	h.resize(1280, 800)
	for _, fault := range in[[]string](h, thirtyPairs) {
		h.t.Errorf("thirty pairs: %s", fault)
	}
	h.keep("thirty pairs")
	h.resize(768, 1024)
	in[bool](h, `([...document.querySelectorAll("#ui_waits article")].find(c => !/Not proved/.test(c.textContent)).setAttribute("data-waits", ""), true)`)
	h.press("[data-waits] button")
	h.wait(`document.querySelector("#ui_sign").open`)
	h.sound("board, signing")
	h.press("#ui_sign-yes")
	h.wait(`!document.querySelector("#ui_sign").open`)

	h.open(c.plain.String() + outPage)
	h.wait(`window.matchmark && matchmark.job && !document.querySelector("#hoist-on .signed").hidden && /Kim Holt/.test(document.querySelector("#hoist-on .signed").textContent)`)
}

// writesAFile begins a procedure in the page to write in, takes a name that is offered, and finds the text on disk.
func writesAFile(h *hand, w *watched) {
	h.open(w.address + ".preview/write/#machines%2Fbench-drill.md")
	h.wait(`document.querySelector("#ui_write_name").textContent === "machines/bench-drill.md" && ` + isSaved)
	h.wait(noError)
	h.laidOut("writing page")
	h.press("#ui_write_new_open")
	h.wait(`document.querySelector("#ui_write_new").open`)
	in[any](h, `(() => { const kind = document.querySelector("#ui_write_kind"); kind.value = "procedure"; kind.onchange(); })()`)
	h.write("#ui_write_file_title", "Grease the belt")
	h.laidOut("writing page, new file")
	h.press(`#ui_write_new form button[type="submit"]`)
	h.wait(`document.querySelector("#ui_write_name").textContent === "procedures/grease-the-belt.md" && document.activeElement.matches(".cm-content") && ` + isSaved)
	h.typed("Look at the `bel")
	h.wait(`document.querySelector(".cm-tooltip-autocomplete li")?.textContent.includes("belt") && document.querySelector(".cm-tooltip-autocomplete").getBoundingClientRect().top > 0`)
	h.press(".cm-tooltip-autocomplete li:first-child")
	h.wait(theText + `.includes("Look at the ` + "`belt" + `")`)
	h.typed("`.")
	if !until(h.t, forPage, func() bool {
		return strings.HasSuffix(strings.TrimSpace(w.beside("procedures/grease-the-belt.md")), "Look at the `belt`.")
	}) {
		h.t.Errorf("the file is\n%s", w.beside("procedures/grease-the-belt.md"))
	}
	h.wait(isSaved + ` && ` + isChecked)
	h.resize(1280, 800)
	h.laidOut("writing page, wide")
	h.resize(768, 1024)
}
