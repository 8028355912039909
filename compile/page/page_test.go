package page

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"strings"
	"testing"

	"golang.org/x/text/feature/plural"
	"golang.org/x/text/language"
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

// The pages' scripts take the form of a word that Go takes; the numbers are CLDR's samples of the forms (see the test of package themes).
func TestScriptsTakeTheFormsOfGo(t *testing.T) {
	shell, err := fs.ReadFile(pagetest.Theme(t).Assets(), "shell.js")
	assert.NilError(t, err)
	names := map[plural.Form]string{plural.Zero: "zero", plural.One: "one", plural.Two: "two", plural.Few: "few", plural.Many: "many", plural.Other: "other"}
	numbers := []int{0, 1, 2, 3, 4, 5, 10, 11, 12, 19, 22, 26, 100, 102, 103, 111, 1000, 1002, 1003, 1011}
	words, want := map[string]string{"few-only.few": "{0} few", "few-only.other": "{0} other"}, map[string][]string{}
	for _, name := range names {
		words["n."+name] = "{0} " + name
	}
	languages := []string{"en", "de", "cs", "pl", "ar"}
	for _, lang := range languages {
		for _, n := range numbers {
			form := names[plural.Cardinal.MatchPlural(language.Make(lang), n, 0, 0, 0, 0)]
			few := form
			if form != "few" {
				few = "other" // the form of all numbers whose own the table lacks
			}
			want[lang] = append(want[lang], fmt.Sprint(n, " ", form), fmt.Sprint(n, " ", few))
		}
	}
	input, err := json.Marshal([]any{string(shell), languages, numbers, map[string]any{"shell": words}})
	assert.NilError(t, err)
	var got map[string][]string
	pagetest.Script(t, nil, fmt.Sprintf(`
		var [source, languages, numbers, table] = %s, out = {}, nothing = { append() {}, addEventListener() {}, dataset: {} };
		globalThis.window = globalThis;
		window.matchmarkWords = table;
		Object.assign(document, { documentElement: nothing, createElement: function () { return Object.assign({}, nothing); }, querySelector: function () { return nothing; } });
		(0, eval)(source);
		languages.forEach(function (lang) {
			document.documentElement.lang = lang;
			var say = matchmark.words("shell");
			out[lang] = numbers.flatMap(function (n) { return [say.count("n", n), say.count("few-only", n)]; });
		});
		return out;`, input), &got)
	assert.DeepEqual(t, got, want)
}

func TestDirectionOfALanguage(t *testing.T) {
	for lang, want := range map[string]bool{"en": false, "de": false, "pl": false, "ja": false, "ar": true, "he": true, "fa": true, "ur": true, "dv": true, "x": false} {
		if got := RightToLeft(lang); got != want {
			t.Errorf("%s: %v, want %v", lang, got, want)
		}
	}
}
