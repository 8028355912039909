package highlight

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/alecthomas/chroma/v2"
	"gotest.tools/v3/assert"

	"matchmark/procedure"
	"matchmark/procedure/source"
)

// shown writes tokens as kind(words), so that a case can be read.
func shown(t *testing.T, state, src string) string {
	t.Helper()
	all, err := tokens(state, src)
	assert.NilError(t, err)
	var b strings.Builder
	for _, tk := range all {
		if l, ok := lookOf(tk.Type); ok {
			fmt.Fprintf(&b, "%s(%s)", l.class, tk.Value)
		} else {
			b.WriteString(tk.Value)
		}
	}
	return b.String()
}

func TestTokens(t *testing.T) {
	for _, c := range []struct{ src, want string }{
		{"---\nkind: quiz # one\npass: 80\ntitle: \"A: b\"\naims:\n  - Isolate it\n  - from: x\n---\nText.\n",
			"p(---)\nna(kind)p(:) quiz c(# one)\nna(pass)p(:) m(80)\nna(title)p(:) s2(\"A: b\")\nna(aims)p(:)\n  - Isolate it\n  - na(from)p(:) x\np(---)\nText.\n"},
		{"::: step off \"Take it off\" {time=2/3/5 tools=\"a, b\" safe-stop}\n",
			"p(:::) k(step) nf(off) s2(\"Take it off\") p({)na(time)p(=)s(2/3/5) na(tools)p(=)s(\"a, b\") na(safe-stop)p(})\n"},
		{"::: caution danger {about=6}\nHot.\n:::\n", "p(:::) k(caution) nf(danger) p({)na(about)p(=)s(6)p(})\nHot.\np(:::)\n"},
		{"::: fasteners\n- remove 4, 5\n- keep 6: carries it until `hoist-on`\n:::\n- remove it\n",
			"p(:::) k(fasteners)\np(-) nb(remove) mi(4), mi(5)\np(-) nb(keep) mi(6): carries it until sb(`hoist-on`)\np(:::)\np(-) remove it\n"},
		{"::: actions\n- set down gearbox on pallet\n- drain oil into tray\n:::\n",
			"p(:::) k(actions)\np(-) nb(set down) gearbox ow(on) pallet\np(-) nb(drain) oil ow(into) tray\np(:::)\n"},
		{"::: figure f \"F\" {src=a.svg}\n- 4 at 120,80 1.5,-2 balloon 60,40\n:::\n",
			"p(:::) k(figure) nf(f) s2(\"F\") p({)na(src)p(=)s(a.svg)p(})\np(-) mi(4) ow(at) m(120,80) m(1.5,-2) ow(balloon) m(60,40)\np(:::)\n"},
		{"| id | mass |\n|---|---|\n| a\\|b | 3 kg |\n", "p(|)na( id )p(|)na( mass )p(|)\np(|---|---|)\np(|) a\\|b p(|) m(3 kg) p(|)\n"},
		{"- [x] Right\n  > yes\n1. one\n", "p(-) kc([x]) Right\n  p(>) yes\np(1.) one\n"},
		{"Tighten to 45 N·m, not 2 in the crate, **now**, *then* `x` [it](#step).\n",
			"Tighten to m(45 N·m), not 2 in the crate, gs(**now**), ge(*then*) sb(`x`) p([)nt(it)p(]()nf(#step)p()).\n"},
		{"# Heading\n<!-- a\nb -->\n```\n::: x\n```\nend\n", "gh(# Heading)\nc(<!-- a\nb -->)\nsb(```\n::: x\n```\n)end\n"},
		{"::: step a \"not closed\n::: tip {", "p(:::) k(step) nf(a) s2(\"not closed)\np(:::) k(tip) p({)"},
	} {
		if got := shown(t, "root", c.src); got != c.want {
			t.Errorf("%s\ngives\n%s\nwant\n%s", c.src, got, c.want)
		}
	}
	for _, c := range []struct{ src, want string }{
		{"- keep 6: carries it", "p(-) nb(keep) mi(6): carries it"},
		{"title: Mixer", "na(title)p(:) Mixer"},
		{"::: tip", "p(:::) k(tip)"},
		{"| 3 | Bolt | 45 N·m |", "p(|) 3 p(|) Bolt p(|) m(45 N·m) p(|)"},
		{"- 4 at 1,2 balloon 3,4", "p(-) mi(4) ow(at) m(1,2) ow(balloon) m(3,4)"},
	} {
		if got := shown(t, "line", c.src); got != c.want {
			t.Errorf("%s\ngives\n%s\nwant\n%s", c.src, got, c.want)
		}
	}
}

// Every kind of block in the grammar, every verb and no other word is coloured as what it is.
func TestWordsOfTheGrammar(t *testing.T) {
	for _, k := range source.BlockKinds() {
		if got := shown(t, "root", "::: "+k.Name+"\n"); got != "p(:::) k("+k.Name+")\n" {
			t.Errorf("%s: %s", k.Name, got)
		}
	}
	for _, v := range procedure.VerbRules {
		src := "::: actions\n- " + string(v.Verb) + " it " + v.Word + " that\n"
		if got := shown(t, "root", src); !strings.Contains(got, "nb("+string(v.Verb)+")") || v.Word != "" && !strings.Contains(got, "ow("+v.Word+")") {
			t.Errorf("%s: %s", v.Verb, got)
		}
	}
}

func TestHTML(t *testing.T) {
	got, err := HTML("::: tip\n<b> & 3 kg\n:::\n")
	want := `<pre class="code"><code><span class="p">:::</span> <span class="k">tip</span>
&lt;b&gt; &amp; <span class="m">3 kg</span>
<span class="p">:::</span>
</code></pre>
`
	if err != nil || got != want {
		t.Errorf("got %q, %v", got, err)
	}
}

func TestTerminal(t *testing.T) {
	if got, want := Terminal("- keep 6: it"), "\x1b[2m-\x1b[0m \x1b[34mkeep\x1b[0m \x1b[1;31m6\x1b[0m: it"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// Every colour has a contrast of 7:1 or more on the paper and on the sheets of
// its theme, as the site's style sheet has them.
//
// Source: WCAG 2.2, success criterion 1.4.6 and the definition of contrast ratio.
func TestContrast(t *testing.T) {
	css, err := os.ReadFile("../../../themes/assets/base.css")
	assert.NilError(t, err)
	grounds := func(name string) []string {
		var out []string
		for _, m := range regexp.MustCompile(`--`+name+`: (#[0-9a-f]{6})`).FindAllStringSubmatch(string(css), -1) {
			out = append(out, m[1])
		}
		return out
	}
	papers, sheets := grounds("paper"), grounds("sheet")
	if len(papers) < 2 || len(sheets) < 2 {
		t.Fatalf("the style sheet has the papers %v and the sheets %v", papers, sheets)
	}
	for i, theme := range []string{"light", "dark"} {
		for _, l := range looks {
			colour := []string{l.light, l.dark}[i]
			for _, ground := range []string{papers[i], sheets[i]} {
				if c := contrast(t, colour, ground); c < 7 {
					t.Errorf("%s %s %s on %s: %.2f", theme, l.class, colour, ground, c)
				}
			}
		}
		if rules := CSS("x", i == 1); strings.Count(rules, "{color:#") != len(looks) {
			t.Errorf("%s: %s", theme, rules)
		}
	}
}

func contrast(t *testing.T, a, b string) float64 {
	la, lb := luminance(t, a), luminance(t, b)
	return (math.Max(la, lb) + 0.05) / (math.Min(la, lb) + 0.05)
}

func luminance(t *testing.T, colour string) float64 {
	v, err := strconv.ParseUint(colour[1:], 16, 32)
	assert.NilError(t, err)
	channel := func(n uint64) float64 {
		c := float64(n&0xff) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	return 0.2126*channel(v>>16) + 0.7152*channel(v>>8) + 0.0722*channel(v)
}

var sgr = regexp.MustCompile("\x1b\\[[0-9;]*m")

func FuzzTokens(f *testing.F) {
	for _, k := range source.BlockKinds() {
		f.Add(k.Example)
	}
	names, err := filepath.Glob("../../../content/*/*.md")
	if err != nil {
		f.Fatal(err)
	}
	for _, name := range names {
		src, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(src[:min(len(src), 2000)])) // A seed of pages makes each try slow.
	}
	f.Add("---\r\nkind: x\r\n---\r\n")
	f.Add("::: figure\n- \n:::\n```\n")
	f.Fuzz(func(t *testing.T, src string) {
		if !utf8.ValidString(src) {
			return // The reader refuses it before anything is shown.
		}
		for _, state := range []string{"root", "line"} {
			all, err := tokens(state, src)
			assert.NilError(t, err)
			var b strings.Builder
			for _, tk := range all {
				b.WriteString(tk.Value)
			}
			if b.String() != src {
				t.Fatalf("%s: the tokens of %q join to %q", state, src, b.String())
			}
		}
		if !strings.Contains(src, "\x1b") {
			if got := sgr.ReplaceAllString(Terminal(src), ""); got != src {
				t.Fatalf("%q is shown as %q", src, got)
			}
		}
	})
}

// No pattern gives up after a time: colours do not depend on how busy the machine is.
func TestPatternsHaveNoTimeLimit(t *testing.T) {
	var seen chroma.CompiledRules
	look := chroma.EmitterFunc(func(_ []string, state *chroma.LexerState) chroma.Iterator {
		seen = state.Rules
		return chroma.Literator()
	})
	try := chroma.MustNewLexer(&chroma.Config{Name: "try"}, func() chroma.Rules {
		return chroma.Rules{"root": {rule("a", look), rule("b", chroma.Text, patient{})}}
	})
	all, err := try.Tokenise(nil, "a")
	assert.NilError(t, err)
	all.Tokens()
	if len(seen["root"]) != 2 {
		t.Fatalf("%d patterns were seen", len(seen["root"]))
	}
	for _, r := range seen["root"] {
		if r.Regexp.MatchTimeout != time.Duration(math.MaxInt64) {
			t.Errorf("%s gives up after %v", r.Pattern, r.Regexp.MatchTimeout)
		}
	}
	rules, err := lexer.Rules()
	assert.NilError(t, err)
	for _, list := range rules {
		if slices.ContainsFunc(list, func(r chroma.Rule) bool { return r.Mutator == patient{} }) {
			return
		}
	}
	t.Error("the dialect's lexer leaves the time limit on")
}
