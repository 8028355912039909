package render

import (
	"fmt"
	"html/template"
	"math"
	"strings"
	"testing"
	"time"
)

// places are the places of a page that a value can stand in. Each has escaping of its own.
var places = map[string]string{
	"text":          `<p>{{.}}</p>`,
	"title":         `<title>{{.}}</title>`,
	"text area":     `<textarea>{{.}}</textarea>`,
	"attribute":     `<p title="{{.}}">`,
	"single quotes": `<p title='{{.}}'>`,
	"data":          `<p data-x="{{.}}">`,
	"link":          `<a href="{{.}}">`,
	"link's end":    `<a href="../x/{{.}}">`,
	"query":         `<a href="x?y={{.}}">`,
	"fragment":      `<a href="#{{.}}">`,
	"source":        `<img src="{{.}}">`,
	"source set":    `<img srcset="{{.}}">`,
	"script's data": `<script type="application/json">{{.}}</script>`,
	// Those below are left to html/template.
	"bare attribute": `<p title={{.}}>`,
	"script":         `<script>let x = {{.}}; let y = "{{.}}";</script>`,
	"handler":        `<p onclick="f({{.}})">`,
	"style":          `<style>{{.}}</style>`,
	"style's link":   `<style>p { background: url("{{.}}") }</style>`,
	"comment":        `<!-- {{.}} -->`,
	"name":           `<p {{.}}="x">`,
}

var left = map[string]bool{"bare attribute": true, "script": true, "handler": true, "style": true, "style's link": true, "comment": true, "name": true}

// hostile are texts that have broken out of their place on some page, or could.
var hostile = []string{
	"", " ", "plain words", `"`, `'`, `<`, `>`, `&`, "`", "=", "+", "\x00", "a\x00b", "\u00ad", "\u200b", "\u2028\u2029", "\ufeff",
	`</p><script>alert(1)</script>`, `" onmouseover="alert(1)`, `' onmouseover='alert(1)`, `<!--`, `-->`, `]]>`, `</title><b>`, `</textarea>`,
	`&lt;b&gt;`, `&amp;amp;`, `&#34;`, "Grüße, 5 N·m ± 2 %", "日本語", "\xff\xfe", "a\xc3", "\xed\xa0\x80", "\ufdd0\ufffe\uffff", "\U0001F527",
	`javascript:alert(1)`, `JaVaScRiPt:alert(1)`, ` javascript:alert(1)`, "java\nscript:alert(1)", `data:text/html,<b>`, `vbscript:x`, `x:y`, `:`, `./a:b`, `a/b:c`,
	`http://example.org/?a=b&c=d+e#f`, `HTTPS://EXAMPLE.ORG`, `mailto:a@example.org`, `//example.org`, `?q=1`, `#part`, `%`, `%2`, `%2f`, `%2F%zz`, `%%41`, `100%`,
	`a b/c'd"e(f)g`, `!#$&*+,/:;=?@[]-._~`, `../up/ö.html`, `\u003c`, `a.jpg 400w, b.jpg 800w`, `a.jpg 400w,b c.jpg 2x`, `a.jpg 1.5x`, `javascript:x 2x, a.jpg 1x`,
	` a.jpg , , b.jpg 2x `, "a.jpg\t1x,\nb.jpg\f2x\r", "a.jpg\v1x", `a.jpg 1_x`, `,`, `,,`, `expression(alert(1))`, "{{.}}", "ZgotmplZ",
}

// both makes a page by the program and by html/template, fails when they differ
// in bytes or in the error, and returns what was left to html/template.
func both(t *testing.T, source string, data any) []string {
	t.Helper()
	set := New(parsed(t, source), funcs)
	compare(t, set, parsed(t, source), source, data)
	return set.Left()
}

func compare(t *testing.T, set *Set, plain *template.Template, source string, data any) {
	t.Helper()
	var got, want strings.Builder
	gotErr, wantErr := set.ExecuteTemplate(&got, "page", data), plain.ExecuteTemplate(&want, "page", data)
	switch {
	case fmt.Sprint(gotErr) != fmt.Sprint(wantErr):
		t.Errorf("%s of %T %q:\nerror %v\nwant  %v", source, data, data, gotErr, wantErr)
	case gotErr != nil && got.Len() > 0:
		t.Errorf("%s of %T %q: %q written in spite of %v", source, data, data, got.String(), gotErr)
	case gotErr == nil && got.String() != want.String():
		t.Errorf("%s of %T %q:\n%q\nwant %q", source, data, data, got.String(), want.String())
	}
}

func parsed(t *testing.T, source string) *template.Template {
	t.Helper()
	set, err := template.New("page").Option("missingkey=error").Funcs(funcs).Parse(source)
	if err != nil {
		t.Fatal(err)
	}
	return set
}

var funcs = template.FuncMap{
	"t": func(key string, args ...any) (string, error) {
		if key == "missing" {
			return "", fmt.Errorf("no words for %q", key)
		}
		return key + fmt.Sprint(args...), nil
	},
	"n":     func(key string, n int) (string, error) { return fmt.Sprint(key, n), nil },
	"other": strings.ToUpper,
}

// The yardstick is html/template of the standard library.
func TestEveryPlaceIsEscapedAsHTMLTemplateDoes(t *testing.T) {
	texts := hostile
	for c := range 256 {
		texts = append(texts, string([]byte{byte(c)}), string([]byte{'a', byte(c), 'b'}), string([]byte{'%', byte(c), 'f'}))
	}
	for name, source := range places {
		set, plain := New(parsed(t, source), funcs), parsed(t, source)
		for _, s := range texts {
			compare(t, set, plain, source, s)
		}
		if why := set.Left(); len(why) > 0 != left[name] {
			t.Errorf("%s: left to html/template: %v", name, why)
		}
	}
}

type (
	word    string
	count   int8
	spoken  struct{ name string }
	machine struct{ Name string }
)

func (s spoken) String() string { return "<" + s.name + ">" }

// What a value is decides, too, and what cannot be done must be left and not done otherwise.
func TestEveryTypeIsEscapedAsHTMLTemplateDoes(t *testing.T) {
	n := 7
	for _, source := range places {
		set, plain := New(parsed(t, source), funcs), parsed(t, source)
		for _, s := range hostile {
			for _, data := range []any{
				word(s), template.HTML(s), template.HTMLAttr(s), template.URL(s), template.JS(s), template.JSStr(s), template.CSS(s), template.Srcset(s),
				spoken{s}, &spoken{s}, &s, []string{s}, map[string]string{"a": s}, fmt.Errorf("%s", s),
			} {
				compare(t, set, plain, source, data)
			}
		}
		for _, data := range []any{
			nil, true, false, 0, -5, 123456, int64(-1 << 63), count(-8), uint8(7), uint64(1<<64 - 1), 1.5, -0.25, 1e21, 1e20, 123456789e6, 1e6, 999999.0, -1e6, -999999.0, 999999.5, 1e5, 0.0, math.Copysign(0, -1), math.Inf(-1), math.NaN(), 1e-7, 940.0, -940.0, float32(0.1), &n, 'x',
			time.Minute, machine{"<m>"}, &machine{"<m>"}, (*machine)(nil), []int{1, 2}, []byte("<b>"), [2]bool{true}, complex(1, 2),
		} {
			compare(t, set, plain, source, data)
		}
	}
}

func FuzzEscapers(f *testing.F) {
	for _, s := range hostile {
		f.Add(s)
	}
	sets := map[string]*Set{}
	for name, source := range places {
		set, err := template.New("page").Parse(source)
		if err != nil {
			f.Fatal(err)
		}
		sets[name] = New(set, nil)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for name, set := range sets {
			for _, data := range []any{s, word(s), template.HTML(s), template.URL(s), []string{s}} {
				compare(t, set, set.Templates(), name, data)
			}
		}
	})
}
