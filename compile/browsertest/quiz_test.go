//go:build browser

package browsertest

import (
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"gotest.tools/v3/assert"
)

// question is a question of the page's own marking data, with what is right.
type question struct {
	// says is true when its choices have feedback of their own, which made questions lack.
	says bool

	ID, Kind string
	Points   int
	Choices  int
	Critical bool
	Chosen   []int
	Target   string
	Number   struct{ Low, Unit string }
}

func (b *tab) questions() map[string]question {
	b.t.Helper()
	var quiz struct{ Questions []question }
	if err := json.Unmarshal([]byte(eval[string](b, `document.querySelector("#quiz-key").textContent`)), &quiz); err != nil {
		b.t.Fatal(err)
	}
	if len(quiz.Questions) < 10 {
		b.t.Errorf("the quiz has %d questions, want 10 at least", len(quiz.Questions))
	}
	byID := map[string]question{}
	for _, q := range quiz.Questions {
		byID[q.ID] = q
	}
	return byID
}

// shown returns the question on the screen, or nil when there is none.
func (b *tab) shown(all map[string]question) *question {
	b.t.Helper()
	id := eval[string](b, `(document.querySelector(".question:not([hidden])") || {id: ""}).id`)
	if id == "" {
		return nil
	}
	q, known := all[strings.TrimPrefix(id, "question-")]
	if !known {
		b.t.Fatalf("%s is not in the marking data", id)
	}
	return &q
}

// toQuiz goes from the start page to the mixer quiz by a click.
func (b *tab) toQuiz(s *site) {
	b.t.Helper()
	b.visit(s.file("index.html"))
	b.click(`a[href="quiz/mixer-quiz/index.html"]`)
	b.waitFor(`document.querySelector("#quiz-begin") !== null && !document.querySelector("#quiz-begin").hidden`)
}

// score reads the result: points reached, points in all, percent.
func (b *tab) score() (points, of, percent int) {
	b.t.Helper()
	b.waitFor(`!document.querySelector("#quiz-result").hidden`)
	var numbers []int
	for _, word := range strings.FieldsFunc(eval[string](b, `document.querySelector("#result-score").textContent`), func(r rune) bool { return r < '0' || r > '9' }) {
		n := 0
		fmt.Sscan(word, &n)
		numbers = append(numbers, n)
	}
	if len(numbers) < 3 {
		b.t.Fatalf("the result names too few numbers: %v", numbers)
	}
	return numbers[0], numbers[1], numbers[2]
}

// quizByTouch answers all questions right, with a finger, and has axe-core look
// at each answered question.
func quizByTouch(t *testing.T, s *site) {
	axe, err := os.ReadFile(axePath)
	assert.NilError(t, err)
	profile := newProfile(t)
	b := openTab(t, profile)
	b.toQuiz(s)
	eval[bool](b, string(axe)+"\n;true")
	eval[bool](b, `document.addEventListener("matchmark:result", e => { window.told = e.detail; }), true`)
	all := b.questions()
	kinds := map[string]bool{}
	b.tap("#quiz-go")
	for n := 0; ; n++ {
		q := b.shown(all)
		if q == nil {
			break
		}
		if n == len(all) {
			t.Fatal("the quiz does not come to its end")
		}
		kinds[q.Kind] = true
		f := "#question-" + q.ID + " "
		b.wantLargeTargets("question " + q.ID)
		if eval[bool](b, `[...document.querySelectorAll("#ui_search, input[type=search]")].some(e => e.checkVisibility())`) {
			t.Errorf("question %s can be looked up: the steps that search finds hold the answers", q.ID)
		}
		switch q.Kind {
		case "number":
			b.tap(f + "[name=number]")
			b.do(chromedp.KeyEvent(q.Number.Low))
		case "point":
			b.tap(fmt.Sprintf(`%s[name=target][value=%q]`, f, q.Target))
		case "order":
			for at, value := range q.Chosen {
				for eval[int](b, fmt.Sprintf(lineAt, q.ID, value)) > at {
					b.tap(fmt.Sprintf(`%s[data-value="%d"] .up`, f, value))
				}
			}
		default:
			for _, value := range q.Chosen {
				b.tap(fmt.Sprintf(`%s[name=choice][value="%d"]`, f, value))
			}
		}
		b.tap(f + ".check-answer")
		b.waitFor(fmt.Sprintf(`document.querySelector(%q).classList.contains("answered")`, "#question-"+q.ID))
		b.wantAccessible("question " + q.ID)
		b.wantLargeTargets("answered question " + q.ID)
		b.tap(f + ".next")
	}
	for _, kind := range []string{"single", "several", "true-false", "number", "order", "point"} {
		if !kinds[kind] {
			t.Errorf("the quiz has no question of the kind %s", kind)
		}
	}
	if points, of, percent := b.score(); points != of || percent != 100 || of == 0 {
		t.Errorf("all right gives %d of %d, %d %%", points, of, percent)
	}
	if told := eval[int](b, `window.told ? window.told.score.percent : -1`); told != 100 {
		t.Errorf("a class host's script hears of %d %%", told)
	}
	if eval[bool](b, `["#quiz-refused", "#quiz-scarce"].some(note => document.querySelector(note).checkVisibility())`) {
		t.Error("a browser with room says that it has none")
	}
	b.wantAccessible("result")
	b.wantLargeTargets("result")
	b.wantQuiet("file://" + s.dir)
	b.close()

	b = openTab(t, profile)
	b.toQuiz(s)
	if past := eval[string](b, `document.querySelector("#quiz-past").textContent`); !strings.Contains(past, "100") {
		t.Errorf("the result was not kept: the page says %q", past)
	}
}

// lineAt is where a line of a question's order stands, from 0.
const lineAt = `[...document.querySelectorAll("#question-%s .line")].findIndex(l => l.dataset.value === "%d")`

// quizByKeyboard leaves the first question that may be wrong open and answers all others
// right, without mouse or finger, in a browser that has hardly room and then none: it says so, and the result has all answers.
func quizByKeyboard(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	b.before(hardlyRoom)
	b.toQuiz(s)
	all := b.questions()
	total, lost := 0, 0
	for _, q := range all {
		total += q.Points
	}
	b.tabTo("#quiz-go")
	b.press(kb.Enter)
	b.waitFor(`document.querySelector("#quiz-scarce").checkVisibility()`)
	eval[bool](b, `Storage.prototype.setItem = () => { throw new DOMException("full", "QuotaExceededError"); }, true`)
	for n := 0; ; n++ {
		q := b.shown(all)
		if q == nil {
			break
		}
		if n == len(all) {
			t.Fatal("the quiz does not come to its end")
		}
		if lost == 0 && !q.Critical {
			lost = q.Points
			b.tabTo("#question-" + q.ID + " .skip-question")
			b.press(kb.Enter)
		} else {
			b.answerByKeyboard(q)
		}
		b.waitFor(fmt.Sprintf(`document.querySelector(%q).classList.contains("answered")`, "#question-"+q.ID))
		b.waitFor(`document.querySelector("#quiz-refused").checkVisibility() && !document.querySelector("#quiz-scarce").checkVisibility()`)
		b.tabTo("#question-" + q.ID + " .next")
		b.press(kb.Enter)
		b.waitFor(fmt.Sprintf(`document.querySelector(%q).hidden`, "#question-"+q.ID))
	}
	if lost == 0 {
		t.Error("no question was left open")
	}
	points, of, percent := b.score()
	if points != total-lost || of != total || percent != 100*points/total {
		t.Errorf("the result is %d of %d, %d %%; want %d of %d", points, of, percent, total-lost, total)
	}
	if focus := eval[string](b, `document.activeElement.id`); focus != "result-word" {
		t.Errorf("at the end the focus is on %q", focus)
	}
	b.wantQuiet("file://" + s.dir)
}

func (b *tab) answerByKeyboard(q *question) {
	b.t.Helper()
	f := "#question-" + q.ID + " "
	switch q.Kind {
	case "number":
		b.tabTo(f + "[name=number]")
		b.press(q.Number.Low)
	case "point":
		b.pick(f+"[name=target]", fmt.Sprintf(`%s[name=target][value=%q]`, f, q.Target))
	case "order":
		for at, value := range q.Chosen {
			up := fmt.Sprintf(`%s[data-value="%d"] .up`, f, value)
			for eval[int](b, fmt.Sprintf(lineAt, q.ID, value)) > at {
				b.backTo(up)
				b.press(kb.Enter)
			}
		}
	case "several":
		for _, value := range slices.Sorted(slices.Values(q.Chosen)) {
			b.backTo(fmt.Sprintf(`%s[name=choice][value="%d"]`, f, value))
			b.press(" ")
		}
	default:
		b.pick(f+"[name=choice]", fmt.Sprintf(`%s[name=choice][value="%d"]`, f, q.Chosen[0]))
	}
	b.tabTo(f + ".check-answer")
	b.press(kb.Enter)
}

// pick takes one of a group of radio buttons: Tab leads into the group, arrows through it.
func (b *tab) pick(group, wanted string) {
	b.t.Helper()
	b.tabTo(group)
	b.pressUntil(kb.ArrowDown, fmt.Sprintf(`document.activeElement.matches(%q)`, wanted))
	b.press(" ")
}

// backTo goes to an element that may stand before the focus: first to the
// question's own text, then forward.
func (b *tab) backTo(selector string) {
	b.t.Helper()
	if eval[bool](b, fmt.Sprintf(`document.activeElement.matches(%q)`, selector)) {
		return
	}
	for range 80 {
		if eval[bool](b, fmt.Sprintf(`document.querySelector(%q).compareDocumentPosition(document.activeElement) & Node.DOCUMENT_POSITION_PRECEDING ? true : false`, selector)) {
			break
		}
		b.do(chromedp.KeyEvent(kb.Tab, chromedp.KeyModifiers(chromedp.ModifierShift)))
	}
	b.tabTo(selector)
}
