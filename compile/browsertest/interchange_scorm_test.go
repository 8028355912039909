//go:build browser

package browsertest

import (
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// lms is a page that runs a package under npm scorm-again's SCORM 1.2 runtime,
// two frames deep, and notes every call that ends with an error code. launch()
// starts a session with what the last one left; end() ends it.
const lms = `<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8"><title>runtime</title><link rel="icon" href="data:,">
<script src="/player/scorm-again/dist/scorm12.min.js"></script></head>
<body><button id="popup">open</button><script>
let runtime, errors = [], left = {}, commits = 0, refuses = false, opened = null;
const learner = {student_id: "7", student_name: "Löwe, Ada", credit: "credit", lesson_mode: "normal"};
function start(values) {
  runtime = new Scorm12API({autocommit: false, logLevel: 5});
  runtime.loadFromJSON(Object.assign({}, values, {core: Object.assign({}, learner, values.core)}), "cmi");
  window.API = {LMSGetLastError: () => runtime.LMSGetLastError(), LMSGetErrorString: code => runtime.LMSGetErrorString(code)};
  for (const name of ["LMSInitialize", "LMSFinish", "LMSGetValue", "LMSSetValue", "LMSCommit"]) {
    window.API[name] = (...args) => {
      if (name === "LMSCommit") commits++;
      if (name === "LMSSetValue" && refuses) return "false";
      const result = runtime[name](...args), code = String(runtime.LMSGetLastError());
      if (code !== "0") errors.push(name + "(" + args.join(", ") + "): " + code);
      return result;
    };
  }
}
function launch(values) {
  start(values || left);
  const outer = document.createElement("iframe");
  outer.srcdoc = '<iframe id="inner" width="760" height="900" src="/quiz/mixer-quiz/index.html"></iframe>';
  outer.width = 768; outer.height = 920; outer.id = "outer";
  document.body.append(outer);
}
function end() {
  document.getElementById("outer").remove();
  const cmi = JSON.parse(JSON.stringify(runtime.cmi));
  left = {core: {entry: cmi.core.exit === "suspend" ? "resume" : "", lesson_status: cmi.core.lesson_status}, suspend_data: cmi.suspend_data};
  return cmi;
}
const quizPage = () => document.getElementById("outer")?.contentDocument?.getElementById("inner")?.contentDocument;
const ready = () => !!quizPage() && quizPage().readyState === "complete" && !!quizPage().querySelector("#quiz-begin:not([hidden])");
const key = () => JSON.parse(find("#quiz-key").textContent);
const find = s => quizPage().querySelector(s);
// answer answers questions, all right but those of the ids named, which are
// left open, and stops after so many; it returns the ids in order.
function answer(most, open) {
  const ids = [];
  for (let f; ids.length < most && (f = find(".question:not([hidden])"));) {
    const q = key().questions.find(q => "question-" + q.id === f.id);
    ids.push(q.id);
    if (open.includes(q.id)) f.querySelector(".skip-question").click();
    else {
      if (q.kind === "number") f.elements.number.value = q.number.low;
      else if (q.kind === "point") f.querySelector('[name=target][value="' + q.target + '"]').click();
      else if (q.kind === "order") q.chosen.forEach((v, at) => {
        const line = f.querySelector('[data-value="' + v + '"]');
        while ([...f.querySelectorAll(".line")].indexOf(line) > at) line.querySelector(".up").click();
      });
      else q.chosen.forEach(v => f.querySelector('[name=choice][value="' + v + '"]').click());
      f.querySelector(".check-answer").click();
    }
    f.querySelector(".next").click();
  }
  return ids;
}
document.getElementById("popup").onclick = () => { start({}); opened = window.open("/quiz/mixer-quiz/index.html"); };
</script></body></html>`

// cmi is what the runtime has recorded.
type cmi struct {
	Core struct {
		LessonStatus string `json:"lesson_status"`
		Exit         string
		SessionTime  string `json:"session_time"`
		Score        struct{ Raw, Min, Max string }
	}
	SuspendData  string `json:"suspend_data"`
	Interactions map[string]interaction
}

type interaction struct {
	ID, Type, Result, Latency, Time, Weighting string
	Response                                   string                              `json:"student_response"`
	Right                                      map[string]struct{ Pattern string } `json:"correct_responses"`
}

func (b *tab) cmi(expression string) cmi {
	b.t.Helper()
	var c cmi
	text := eval[string](b, "JSON.stringify("+expression+")")
	if err := json.Unmarshal([]byte(text), &c); err != nil {
		b.t.Fatalf("%v in %s", err, text)
	}
	return c
}

func (b *tab) wantNoErrors() {
	b.t.Helper()
	for _, e := range eval[[]string](b, "errors") {
		b.t.Errorf("the runtime has an error: %s", e)
	}
	if note := eval[string](b, `(find("#scorm-note") || {textContent: ""}).textContent`); note != "" {
		b.t.Errorf("the page says %q", note)
	}
}

// TestSCORMPackage takes the demo's quiz under a runtime of npm scorm-again: it
// breaks off, goes on, fails, tries again and passes.
func TestSCORMPackage(t *testing.T) {
	inTestAll(t)
	wantTools(t)
	root := servePackage(t, exported(t, "scorm"), "lms.html", lms)
	b := openTab(t, newProfile(t))
	b.visit(root + "/lms.html")

	// A first session breaks off after five questions.
	eval[string](b, `launch(), ""`)
	b.waitFor(`ready()`)
	if name := eval[string](b, `find("#quiz-learner").value`); name != "Löwe, Ada" {
		t.Errorf("the learner is %q", name)
	}
	if status := b.cmi("runtime.cmi").Core.LessonStatus; status != "incomplete" {
		t.Errorf("before the start the status is %q", status)
	}
	questions, points := eval[int](b, `key().questions.length`), eval[int](b, `key().questions.reduce((sum, q) => sum + q.points, 0)`)
	eval[string](b, `find("#quiz-go").click(), ""`)
	first := eval[[]string](b, `answer(5, [])`)
	c := b.cmi("runtime.cmi")
	if len(first) != 5 || len(c.Interactions) != 5 {
		t.Fatalf("%d questions gave %d interactions: %+v", len(first), len(c.Interactions), c.Interactions)
	}
	all := slices.Collect(maps.Values(c.Interactions))
	b.wantNoErrors()
	c = b.cmi("end()")
	if c.Core.Exit != "suspend" || len(c.SuspendData) == 0 || len(c.SuspendData) > 4096 {
		t.Errorf("a session that breaks off leaves exit %q and %d characters", c.Core.Exit, len(c.SuspendData))
	}
	if strings.IndexFunc(c.SuspendData, func(r rune) bool { return r > 126 }) >= 0 {
		t.Errorf("the suspend data are not ASCII: %s", c.SuspendData)
	}

	// The second goes on where the first ended, leaves critical questions open, and fails.
	eval[string](b, `launch(), ""`)
	b.waitFor(`ready()`)
	if text := eval[string](b, `find("#quiz-resume").textContent`); text != fmt.Sprintf("Continue at question 6 of %d", questions) {
		t.Fatalf("the page offers %q", text)
	}
	eval[string](b, `find("#quiz-resume").click(), ""`)
	rest := eval[[]string](b, `answer(99, ["before-lift", "oil-quantity"])`)
	c = b.cmi("runtime.cmi")
	all = append(all, slices.Collect(maps.Values(c.Interactions))...)
	if len(rest) != questions-5 || len(all) != questions {
		t.Errorf("%d questions were left of %d, and %d interactions recorded", len(rest), questions, len(all))
	}
	raw := fmt.Sprint((points - 3) * 100 / points) // the two that stay open have three points
	if c.Core.LessonStatus != "failed" || c.Core.Score.Raw != raw || c.Core.Score.Min != "0" || c.Core.Score.Max != "100" {
		t.Errorf("a try that lacks a critical question: %+v", c.Core)
	}
	wantInteractions(t, all)
	b.wantNoErrors()

	// The third try, in the same session, passes, and the pass stays.
	eval[string](b, `find("#result-retry").click(), ""`)
	eval[[]string](b, `answer(99, [])`)
	if c = b.cmi("runtime.cmi"); c.Core.LessonStatus != "passed" || c.Core.Score.Raw != "100" {
		t.Errorf("a try with everything right: %+v", c.Core)
	}
	eval[string](b, `find("#result-retry").click(), ""`)
	eval[[]string](b, `answer(99, ["why-rear-bolt"])`)
	if c = b.cmi("runtime.cmi"); c.Core.LessonStatus != "passed" || c.Core.Score.Raw != "100" {
		t.Errorf("a pass does not stay: %+v", c.Core)
	}
	b.wantNoErrors()
	if c = b.cmi("end()"); !timespan.MatchString(c.Core.SessionTime) || c.Core.Exit != "" {
		t.Errorf("a session that is done leaves %+v", c.Core)
	}
	if commits := eval[int](b, "commits"); commits < 3*questions {
		t.Errorf("%d commits for three tries of %d answers", commits, questions)
	}
	if kept := eval[[]string](b, `Object.keys(localStorage)`); len(kept) > 0 {
		t.Errorf("the device kept %v beside the learning system", kept)
	}

	// A review records nothing.
	eval[string](b, `launch({core: {lesson_mode: "review", lesson_status: "passed"}}), ""`)
	b.waitFor(`ready()`)
	if note := eval[string](b, `find("#scorm-note").textContent`); !strings.Contains(note, "does not record") {
		t.Errorf("a review says %q", note)
	}
	eval[string](b, `find("#quiz-go").click(), ""`)
	eval[[]string](b, `answer(99, ["why-rear-bolt"])`)
	if c = b.cmi("end()"); len(c.Interactions) > 0 || c.Core.LessonStatus != "passed" || c.SuspendData != "" {
		t.Errorf("a review left %+v", c)
	}

	// A learning system that takes nothing more: the learner is told, and the quiz goes on.
	eval[string](b, `launch({}), ""`)
	b.waitFor(`ready()`)
	eval[string](b, `find("#quiz-go").click(), refuses = true, ""`)
	eval[[]string](b, `answer(2, [])`)
	if note := eval[string](b, `find("#scorm-note").textContent`); !strings.Contains(note, "did not accept everything") {
		t.Errorf("the page says %q", note)
	}
	eval[string](b, `refuses = false, end(), ""`)

	// Opened by the window that has the API.
	b.click("#popup")
	b.waitFor(`runtime.cmi.core.lesson_status === "incomplete" && opened.document.querySelector("#quiz-begin:not([hidden])") !== null`)
	for _, e := range eval[[]string](b, "errors") {
		t.Errorf("the runtime has an error: %s", e)
	}
	b.wantQuiet(root)

	// The runtime does tell errors: 405 is "incorrect data type" (SCORM 1.2 Run-Time Environment, 3.3.4).
	eval[string](b, `API.LMSSetValue("cmi.core.lesson_status", "nonsense"), ""`)
	if got := eval[[]string](b, "errors"); !slices.Equal(got, []string{"LMSSetValue(cmi.core.lesson_status, nonsense): 405"}) {
		t.Errorf("a wrong value gives the errors %v", got)
	}
}

// The formats are those of SCORM 1.2's data types CMITime, CMITimespan and
// CMIFeedback (ADL, SCORM 1.2 Run-Time Environment, 3.4.4; from memory).
var (
	timespan = regexp.MustCompile(`^\d{2,4}:\d\d:\d\d$`)
	clock    = regexp.MustCompile(`^([01]\d|2[0-3]):[0-5]\d:[0-5]\d$`)
)

// wantInteractions looks at one answer of each kind, and at the form of all.
func wantInteractions(t *testing.T, all []interaction) {
	t.Helper()
	byID := map[string]interaction{}
	for _, i := range all {
		byID[i.ID] = i
		if !timespan.MatchString(i.Latency) || !clock.MatchString(i.Time) {
			t.Errorf("%s: latency %q, time %q", i.ID, i.Latency, i.Time)
		}
	}
	for id, want := range map[string]string{
		"prove-dead-order": "sequencing a,b,c,d,e,f,g correct 2",
		"point-rear-bolt":  "choice a correct 1",
		"before-lift":      "choice  wrong 2",
		"leg-load":         "numeric 35 correct 2",
		"whose-lock":       "true-false f correct 1",
		"tester-twice":     "choice a correct 1",
	} {
		i := byID[id]
		if got := fmt.Sprintf("%s %s %s %s", i.Type, i.Response, i.Result, i.Weighting); got != want {
			t.Errorf("%s: %q, want %q", id, got, want)
		}
	}
	for id, want := range map[string]string{
		"prove-dead-order": "a,b,c,d,e,f,g", "tester-twice": "a", "whose-lock": "f", "before-lift": "{a,b,c}", "drive-by-hand": "{a,b}",
	} {
		if got := byID[id].Right["0"].Pattern; got != want {
			t.Errorf("%s: the right answer is %q, want %q", id, got, want)
		}
	}
}

// TestSCORMPackageAlone opens the page with no learning system: it says so, and
// the quiz is the site's.
func TestSCORMPackageAlone(t *testing.T) {
	inTestAll(t)
	wantTools(t)
	files := exported(t, "scorm")
	root := servePackage(t, files, "", "")
	b := openTab(t, newProfile(t))
	b.visit(root + "/quiz/mixer-quiz/index.html")
	b.waitFor(`!document.querySelector("#quiz-begin").hidden`)
	if note := eval[string](b, `document.querySelector("#scorm-note").textContent`); !strings.Contains(note, "Not connected to a learning system") {
		t.Errorf("the page says %q", note)
	}
	if links := eval[[]string](b, `[...document.querySelectorAll("a[href]")].map(a => a.getAttribute("href")).filter(h => !h.startsWith("#"))`); len(links) > 0 {
		t.Errorf("links lead out of the package: %v", links)
	}
	axe, err := os.ReadFile(axePath)
	if err != nil {
		t.Fatal(err)
	}
	eval[bool](b, string(axe)+"\n;true")
	b.wantAccessible("quiz without a learning system")
	b.wantLargeTargets("quiz without a learning system")
	b.tap("#quiz-go")
	b.visit(root + "/quiz/mixer-quiz/index.html")
	b.waitFor(`!document.querySelector("#quiz-resume").hidden`)
	b.wantQuiet(root)
}
