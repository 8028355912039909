package page

import (
	"encoding/json"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/pagetest"
	"matchmark/procedure"
)

func TestRoot(t *testing.T) {
	for at, want := range map[string]string{"index.html": "", "machine/mixer.html": "../", "procedure/out/steps-belt.html": "../../"} {
		if got := Root(at); got != want {
			t.Errorf("%s: root %q, want %q", at, got, want)
		}
	}
}

func TestPathsOfJobs(t *testing.T) {
	p := &procedure.Procedure{ID: "out"}
	plain := &procedure.Job{Procedure: p}
	belt := &procedure.Job{Procedure: p, Variant: &procedure.Variant{Row: procedure.Row{ID: "belt"}}}
	for got, want := range map[string]string{
		StepsPath(plain):             "procedure/out/steps.html",
		StepsPath(belt):              "procedure/out/steps-belt.html",
		SheetPath(belt, "checklist"): "procedure/out/checklist-belt.html",
		SheetPath(plain, "tools"):    "procedure/out/tools.html",
		SheetPath(belt, "labels"):    "procedure/out/labels-belt.html",
		SheetPath(belt, "torque"):    "procedure/out/torque-belt.html",
		SheetPath(plain, "lift"):     "procedure/out/lift.html",
		ProcedurePath(p):             "procedure/out/index.html",
	} {
		if got != want {
			t.Errorf("path %s, want %s", got, want)
		}
	}
}

func TestHeadingKeepsToTheRoom(t *testing.T) {
	long := strings.Repeat("ü", 66)
	for _, c := range []struct{ title, want string }{
		{"Mixer", "Mixer · Shop"},
		{"Shop", "Shop"},
		{long, long},
	} {
		if got := (Shell{Title: c.title, Site: "Shop"}).Heading(); got != c.want {
			t.Errorf("heading %q, want %q", got, c.want)
		}
	}
}

func TestWordsForScripts(t *testing.T) {
	theme := pagetest.Theme(t)
	for _, lang := range theme.Languages() {
		words, err := theme.Words(lang)
		assert.NilError(t, err)
		script, err := WordsScript(words)
		assert.NilError(t, err)
		if !strings.HasPrefix(string(script), "window.matchmarkWords = {") {
			t.Errorf("%s: the script sets no global: %.40s", lang, script)
		}
		for name, key := range map[string]string{"sort": "hint", "search": "none"} {
			if say, err := json.Marshal(words.T(name + ".script." + key)); err != nil || !strings.Contains(string(script), `"`+key+`":`+string(say)) {
				t.Errorf("%s: the words of %s are missing", lang, name)
			}
		}
		more, err := MoreWords(words, "step")
		if said, _ := json.Marshal(words.T("step.script.next")); err != nil || !strings.HasPrefix(string(more), "Object.assign(window.matchmarkWords, {") || !strings.Contains(string(more), `"next":`+string(said)) {
			t.Errorf("%s: the words of step are %.60s, %v", lang, more, err)
		}
	}
}
