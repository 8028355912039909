package pagetest

import (
	"context"
	"encoding/json"
	"fmt"
	"html/template"
	"math/rand/v2"
	"net/url"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/a-h/templ"
	"golang.org/x/net/html"

	"matchmark/themes"
)

// harmless stands where hostile strings stand in the same page otherwise.
const harmless = "harmless"

// hostile are strings that would become markup, a script or a link that runs one where a page forgets to escape.
var hostile = []string{
	`"><script>alert(1)</script>`,
	`' onmouseover='alert(1)`,
	"x onmouseover=alert(1) y=`",
	`javascript:alert(1)`,
	"\tjava\nscript:alert(1)",
	`data:text/html,<script>alert(1)</script>`,
	`</script></style></title></textarea><img src=x onerror=alert(1)>`,
	`<!--`,
	`]]></svg><b>`,
	`&lt;b&gt;&#34; {{.}} { x } @y`,
	`1x, javascript:alert(1) 2x`,
}

// Hostile fills the views of pages with hostile strings, in every field, and fails where a page
// is then made of anything else than with harmless ones: each element, each attribute
// and each text must be the same but for the string itself, and each link must lead somewhere only.
// pages are functions that make a component of their arguments. kinds are the values
// of types of strings that pages tell apart; of other such types any string is tried.
func Hostile(t *testing.T, kinds []any, pages ...any) {
	t.Helper()
	theme, err := themes.Load()
	if err != nil {
		t.Fatal(err)
	}
	words, err := theme.Words("en")
	if err != nil {
		t.Fatal(err)
	}
	for _, page := range pages {
		name := runtime.FuncForPC(reflect.ValueOf(page).Pointer()).Name()
		name = name[strings.LastIndex(name, "/")+1:]
		// Which fields are filled is a matter of chance, the same in both pages: most branches are taken at some time.
		for seed := range uint64(6 * len(hostile)) {
			bad := hostile[seed%uint64(len(hostile))]
			made := func(text string) *html.Node {
				f := filler{rand: rand.New(rand.NewPCG(seed, 0)), words: words, kinds: kinds, text: text}
				return f.page(t, name, page)
			}
			if why := differs(made(harmless), made(bad), bad); why != "" {
				t.Errorf("%s with %q: %s", name, bad, why)
				break
			}
		}
	}
}

// filler fills views.
type filler struct {
	rand  *rand.Rand
	words *themes.Words
	kinds []any
	text  string
}

func (f *filler) page(t *testing.T, name string, page any) *html.Node {
	t.Helper()
	call := reflect.ValueOf(page)
	var args []reflect.Value
	for i := range call.Type().NumIn() {
		arg := reflect.New(call.Type().In(i)).Elem()
		f.fill(arg, 0)
		args = append(args, arg)
	}
	var b strings.Builder
	if err := call.Call(args)[0].Interface().(templ.Component).Render(context.Background(), &b); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	tree, err := html.Parse(strings.NewReader(b.String()))
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return tree
}

// deepest is how far a view is filled: those of pages lie less deep, and an order of views in themselves ends there.
const deepest = 12

func (f *filler) fill(v reflect.Value, depth int) {
	t := v.Type()
	switch {
	case t == reflect.TypeFor[*themes.Words]():
		v.Set(reflect.ValueOf(f.words))
		return
	case t == reflect.TypeFor[template.HTML](), t == reflect.TypeFor[template.CSS]():
		if f.rand.IntN(4) > 0 {
			v.SetString("safe")
		}
		return
	case depth > deepest:
		return
	}
	switch t.Kind() {
	case reflect.String:
		f.fillText(v)
	case reflect.Bool:
		v.SetBool(f.rand.IntN(2) > 0)
	case reflect.Int:
		v.SetInt(int64(f.rand.IntN(3)))
	case reflect.Float64:
		v.SetFloat(float64(f.rand.IntN(3)))
	case reflect.Pointer:
		if f.rand.IntN(4) > 0 {
			f.fillPointer(v, depth)
		}
	case reflect.Slice:
		v.Set(reflect.MakeSlice(t, f.rand.IntN(3), 3))
		for i := range v.Len() {
			if e := v.Index(i); e.Kind() == reflect.Pointer {
				f.fillPointer(e, depth) // a list holds no gaps
			} else {
				f.fill(e, depth+1)
			}
		}
	case reflect.Struct:
		if !isView(t) {
			return
		}
		for i := range t.NumField() {
			field, embedded := v.Field(i), t.Field(i).Anonymous
			switch {
			case embedded && field.Kind() == reflect.Pointer && field.CanSet():
				f.fillPointer(field, depth)
			case field.CanSet() || embedded && field.Kind() == reflect.Struct:
				f.fill(field, depth+1)
			}
		}
	}
}

func (f *filler) fillPointer(v reflect.Value, depth int) {
	if isView(v.Type().Elem()) {
		v.Set(reflect.New(v.Type().Elem()))
		f.fill(v.Elem(), depth+1)
	}
}

func (f *filler) fillText(v reflect.Value) {
	var of []reflect.Value
	for _, kind := range f.kinds {
		if value := reflect.ValueOf(kind); value.Type() == v.Type() {
			of = append(of, value)
		}
	}
	switch {
	case len(of) > 0:
		v.Set(of[f.rand.IntN(len(of))])
	case f.rand.IntN(4) > 0:
		v.SetString(f.text)
	}
}

// isView reports whether a type is of the pages' own: not of the model, and not of a library.
func isView(t reflect.Type) bool {
	return t.Kind() == reflect.Struct && (t.PkgPath() == "" || strings.HasPrefix(t.PkgPath(), "matchmark/compile"))
}

// differs says how a page with the hostile string is another than the one without; empty where it is not.
func differs(want, got *html.Node, bad string) string {
	if want.Type != got.Type || want.Type == html.ElementNode && want.Data != got.Data {
		return fmt.Sprintf("%q stands where %q was", got.Data, want.Data)
	}
	switch want.Type {
	case html.TextNode:
		if !sameText(want, got, bad) {
			return fmt.Sprintf("the text %q, want %q", got.Data, with(want.Data, bad))
		}
	case html.ElementNode:
		if why := attributes(want, got, bad); why != "" {
			return why
		}
	}
	a, b := want.FirstChild, got.FirstChild
	for ; a != nil && b != nil; a, b = a.NextSibling, b.NextSibling {
		if why := differs(a, b, bad); why != "" {
			return why
		}
	}
	if a != nil || b != nil {
		return fmt.Sprintf("<%s> holds something else", want.Data)
	}
	return ""
}

// with puts the hostile string where the harmless one is.
func with(s, bad string) string { return strings.ReplaceAll(s, harmless, bad) }

func sameText(want, got *html.Node, bad string) bool {
	if want.Parent.Data != "script" {
		return got.Data == with(want.Data, bad)
	}
	var a, b any
	if json.Unmarshal([]byte(want.Data), &a) != nil || json.Unmarshal([]byte(got.Data), &b) != nil {
		return false
	}
	return with(fmt.Sprintf("%v", a), bad) == fmt.Sprintf("%v", b)
}

func attributes(want, got *html.Node, bad string) string {
	if len(want.Attr) != len(got.Attr) {
		return fmt.Sprintf("<%s> has %v, want %v", want.Data, got.Attr, want.Attr)
	}
	for i, a := range want.Attr {
		b := got.Attr[i]
		switch {
		case a.Key != b.Key || strings.HasPrefix(b.Key, "on") || b.Key == "style":
			return fmt.Sprintf("<%s> has the attribute %s", want.Data, b.Key)
		case slices.Contains([]string{"href", "src", "action", "formaction", "data", "poster"}, b.Key):
			if !leadsSomewhere(b.Val) {
				return fmt.Sprintf("<%s %s=%q> runs something", want.Data, b.Key, b.Val)
			}
		case b.Key == "srcset":
			for _, entry := range strings.Split(b.Val, ",") {
				if link, _, _ := strings.Cut(strings.TrimSpace(entry), " "); !leadsSomewhere(link) {
					return fmt.Sprintf("<%s srcset=%q> runs something", want.Data, b.Val)
				}
			}
		case b.Key == "class":
			if fields := strings.Fields(with(a.Val, bad)); !slices.Equal(strings.Fields(b.Val), fields) {
				return fmt.Sprintf("<%s class=%q>, want %q", want.Data, b.Val, fields)
			}
		case b.Val != with(a.Val, bad):
			return fmt.Sprintf("<%s %s=%q>, want %q", want.Data, b.Key, b.Val, with(a.Val, bad))
		}
	}
	return ""
}

// leadsSomewhere reports whether a link has no scheme, or one that runs nothing. A browser
// leaves out tabs and line ends in a link, and spaces before it.
// Source: WHATWG URL, "basic URL parser".
func leadsSomewhere(link string) bool {
	link = strings.NewReplacer("\t", "", "\n", "", "\r", "").Replace(strings.TrimLeft(link, "\x00\x01\x02 \t\n\f\r"))
	scheme, _, found := strings.Cut(link, ":")
	if !found || strings.ContainsAny(scheme, "/?#") {
		return true
	}
	if scheme == "about" {
		u, err := url.Parse(link)
		return err == nil && u.Opaque == "invalid"
	}
	return slices.Contains([]string{"http", "https", "mailto", "tel", "ftp", "ftps"}, strings.ToLower(scheme))
}
