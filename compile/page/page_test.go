package page

import (
	"encoding/json"
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/themes"
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
		StepsPath(plain):    "procedure/out/steps.html",
		StepsPath(belt):     "procedure/out/steps-belt.html",
		ChecklistPath(belt): "procedure/out/checklist-belt.html",
		ToolsPath(plain):    "procedure/out/tools.html",
		LabelsPath(belt):    "procedure/out/labels-belt.html",
		TorquePath(belt):    "procedure/out/torque-belt.html",
		LiftPath(plain):     "procedure/out/lift.html",
		ProcedurePath(p):    "procedure/out/index.html",
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
	theme, err := themes.Load()
	if err != nil {
		t.Fatal(err)
	}
	for _, lang := range theme.Languages() {
		words, err := theme.Words(lang)
		if err != nil {
			t.Fatal(err)
		}
		script, err := WordsScript(words)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasPrefix(string(script), "window.matchmarkWords = {") {
			t.Errorf("%s: the script sets no global: %.40s", lang, script)
		}
		for name, key := range map[string]string{"sort": "hint", "search": "none", "step": "next"} {
			if say, err := json.Marshal(words.T(name + ".script." + key)); err != nil || !strings.Contains(string(script), `"`+key+`":`+string(say)) {
				t.Errorf("%s: the words of %s are missing", lang, name)
			}
		}
	}
}

func TestInlineHoldsNoBlocks(t *testing.T) {
	for _, c := range []struct{ markup, plain, want string }{
		{"<p>One <em>word</em>.</p>\n", "One word.", "One <em>word</em>."},
		{"bare <em>words</em>", "bare words", "bare <em>words</em>"},
		{"<p>a</p>\n<p>b &lt; c</p>\n", "a b < c", "a b &lt; c"},
		{"<ul><li>a</li></ul>", "a", "a"},
		{"<p>a <a href=\"#x\">pre</a></p>", "a pre", "a <a href=\"#x\">pre</a>"},
	} {
		p := procedure.Prose{Markup: c.markup, Paragraphs: []procedure.Paragraph{{Text: c.plain}}}
		if got := string(Inline(p)); got != c.want {
			t.Errorf("%q becomes %q, want %q", c.markup, got, c.want)
		}
	}
}
