//go:build browser

package browsertest

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// player is a page that shows items in npm qti3-item-player. show() loads an
// item, end() ends the attempt and keeps its outcome variables.
const player = `<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8"><title>player</title><link rel="icon" href="data:,">
<link rel="stylesheet" href="/player/qti3-item-player/dist/qti3Player.css">
<script src="/player/vue/dist/vue.min.js"></script>
<script src="/player/qti3-item-player/dist/qti3Player.umd.min.js"></script></head>
<body><div id="app"></div><script>
let p = null, shown = "", ended = null;
const Component = qti3Player.default || qti3Player.Qti3Player || qti3Player;
new Vue({ render: h => h(Component, { on: {
  notifyQti3PlayerReady: x => { p = x; },
  notifyQti3ItemReady: () => { shown = "ready"; },
  notifyQti3EndAttemptCompleted: d => { ended = d; },
} }) }).$mount("#app");
function show(xml, state) {
  shown = ""; ended = null;
  const how = { status: "interacting", sessionControl: { max_attempts: 0, show_feedback: true, validate_responses: false } };
  p.loadItemFromXml(xml, state ? Object.assign(how, { state }) : how);
}
const outcome = name => { const v = ended.state.outcomeVariables.find(v => v.identifier === name); return v ? v.value : null; };
const visible = s => [...document.querySelectorAll(s)].filter(e => e.checkVisibility({visibilityProperty: true, opacityProperty: true})).map(e => e.textContent.trim());
</script></body></html>`

// TestQTIPackage answers every item of the demo's quiz in npm qti3-item-player: at first not
// at all, then right. What is right comes from the site's own page.
func TestQTIPackage(t *testing.T) {
	inTestAll(t)
	wantTools(t)
	files := exported(t, "qti")
	page := string(exported(t, "scorm")["quiz/mixer-quiz/index.html"])
	var quiz struct{ Questions []question }
	_, key, _ := strings.Cut(page, `<script id="quiz-key" type="application/json">`)
	if err := json.NewDecoder(strings.NewReader(key)).Decode(&quiz); err != nil || len(quiz.Questions) < 10 {
		t.Fatalf("the page has %d questions: %v", len(quiz.Questions), err)
	}
	root := servePackage(t, files, "items/player.html", player)
	b := openTab(t, newProfile(t))
	at := root + "/items/player.html"
	kinds := map[string]bool{}
	for _, q := range quiz.Questions {
		kinds[q.Kind] = true
		item := string(files["items/"+q.ID+".xml"])
		q.says = strings.Contains(item, "<qti-feedback-inline")
		b.show(at, item, "null")
		unanswered := "open"
		if q.Kind == "order" {
			unanswered = "wrong" // the player takes the lines as they stand
		}
		b.wantOutcome(q, 0, unanswered)

		b.show(at, item, "null")
		switch q.Kind {
		case "order":
			b.order(at, item, q)
		case "number":
			b.click(".qti-text-entry-interaction input")
			b.do(chromedp.KeyEvent("0"))
			b.wantOutcome(q, 0, "wrong")
			b.show(at, item, "null")
			b.click(".qti-text-entry-interaction input")
			b.do(chromedp.KeyEvent(q.Number.Low))
		case "point":
			letter := regexp.MustCompile(`id="question-` + q.ID + `"(?s:.*?)data-target="` + q.Target + `"><label><input[^>]*><span class="choice-text">Target ([A-Z])`).FindStringSubmatch(page)
			if letter == nil {
				t.Fatalf("%s: the site shows no letter for %s", q.ID, q.Target)
			}
			// A figure that cannot be loaded is complete as well, with no width.
			b.waitFor(`document.images.length > 0 && [...document.images].every(i => i.complete)`)
			if n := eval[int](b, `[...document.images].filter(i => i.naturalWidth > 0).length`); n != 1 {
				t.Errorf("%s: %d figures are drawn", q.ID, n)
			}
			for _, spot := range eval[[]string](b, fmt.Sprintf(`[...document.querySelectorAll('circle[aria-label=%q]')].map(c => c.dataset.identifier)`, letter[1])) {
				b.show(at, item, "null")
				b.click(fmt.Sprintf(`circle[data-identifier=%q]`, spot))
				b.wantOutcome(q, q.Points, "right")
			}
			continue
		default:
			for _, value := range q.Chosen {
				b.click(fmt.Sprintf(`[data-identifier="choice-%d"]`, value))
			}
		}
		b.wantOutcome(q, q.Points, "right")
	}
	if len(kinds) != 6 {
		t.Errorf("the quiz has the kinds %v only", kinds)
	}
	b.wantQuiet(root)
}

// show loads an item into a fresh player, with an earlier state, as JSON, or with
// null for none.
func (b *tab) show(at, item, state string) {
	b.t.Helper()
	b.visit(at)
	b.waitFor(`p !== null`)
	eval[string](b, fmt.Sprintf(`show(%q, %s), ""`, item, state))
	b.waitFor(`shown === "ready"`)
}

// order puts the lines into order. The player lets nobody do so but with a
// mouse that drags, so the test restores the state that dragging leaves, and
// looks whether the lines stand so.
func (b *tab) order(at, item string, q question) {
	b.t.Helper()
	var ids []string
	for _, value := range q.Chosen {
		ids = append(ids, fmt.Sprintf("choice-%d", value))
	}
	wanted, err := json.Marshal(ids)
	if err != nil {
		b.t.Fatal(err)
	}
	eval[string](b, `p.endAttempt(""), ""`)
	b.waitFor(`ended !== null`)
	left := eval[string](b, fmt.Sprintf(`Object.assign(ended.state.responseVariables.find(v => v.identifier === "RESPONSE"), {value: %s, state: {order: %s}}), JSON.stringify(Object.assign(ended.state, {contextVariables: []}))`, wanted, wanted))
	b.show(at, item, left)
	if shown := eval[[]string](b, `[...document.querySelectorAll(".qti-order-source-wrapper li")].map(l => l.dataset.identifier)`); !slices.Equal(shown, ids) {
		b.t.Errorf("%s: the player shows %v, want %v", q.ID, shown, ids)
	}
}

// wantOutcome ends the attempt and looks at the score and at what the learner is told.
func (b *tab) wantOutcome(q question, score int, verdict string) {
	b.t.Helper()
	eval[string](b, `p.endAttempt(""), ""`)
	b.waitFor(`ended !== null`)
	if got := eval[int](b, `outcome("SCORE")`); got != score {
		b.t.Errorf("%s: score %d, want %d", q.ID, got, score)
	}
	if got := eval[string](b, `outcome("VERDICT")`); got != verdict {
		b.t.Errorf("%s: verdict %q, want %q", q.ID, got, verdict)
	}
	told := map[string]string{"right": "Right", "wrong": "Not right", "open": "Not answered"}[verdict]
	b.waitFor(`visible(".qti3-player-modal-header h5").length > 0`)
	if got := eval[[]string](b, `visible(".qti3-player-modal-header h5")`); !slices.Equal(got, []string{told}) {
		b.t.Errorf("%s: the learner is told %q, want %q", q.ID, got, told)
	}
	if q.Kind == "single" && q.says {
		if got := eval[[]string](b, `visible(".qti-feedback-inline")`); len(got) != 1 {
			b.t.Errorf("%s: the choices say %q", q.ID, got)
		}
	}
}
