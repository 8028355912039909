package picture

import (
	"bytes"
	"encoding/xml"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// Each case is the inside of a drawing, what is left of it, and what is said to be taken out.
var hostile = []struct {
	name, inside, left string
	takenOut           []string
}{
	{"plain shapes", `<g><path d="M0 0h4" stroke="#000"/></g>`, `<g><path d="M0 0h4" stroke="#000"/></g>`, nil},
	{"script", `<script>alert(1)</script><rect/>`, `<rect/>`, []string{"element script"}},
	{"script in another case", `<SCRIPT>x</SCRIPT>`, ``, []string{"element SCRIPT"}},
	{"script with a prefix", `<s:script xmlns:s="http://www.w3.org/2000/svg">x</s:script>`, ``, []string{"element script"}},
	{"script of XHTML", `<h:script xmlns:h="http://www.w3.org/1999/xhtml">x</h:script>`, ``, nil},
	{"script within text", `<text>a<script>x</script>b</text>`, `<text>ab</text>`, []string{"element script"}},
	{"event attribute", `<rect onclick="x()" OnLoad="y()" x="1"/>`, `<rect x="1"/>`, []string{"attribute onclick", "attribute OnLoad"}},
	{"foreign object", `<foreignObject><div xmlns="http://www.w3.org/1999/xhtml">x</div></foreignObject>`, ``, []string{"element foreignObject"}},
	{"link keeps its drawing", `<a href="javascript:x()"><rect/></a>`, `<rect/>`, []string{"element a"}},
	{"switch keeps its drawing", `<switch><foreignObject/><g/></switch>`, `<g/>`, []string{"element switch", "element foreignObject"}},
	{"use of another file", `<use href="other.svg#x"/>`, `<use/>`, []string{"link to outside"}},
	{"use of data", `<use xlink:href="data:image/svg+xml,x#y" xmlns:xlink="http://www.w3.org/1999/xlink"/>`, `<use/>`, []string{"link to outside"}},
	{"use of script", `<use href=" java&#10;script:x"/>`, `<use/>`, []string{"link to outside"}},
	{"use of its own", `<g id="a"/><use xlink:href="#a" xmlns:xlink="http://www.w3.org/1999/xlink"/>`, `<g id="a"/><use href="#a"/>`, nil},
	{"href twice", `<g id="a"/><use href="#a" xlink:href="http://x/#a" xmlns:xlink="http://www.w3.org/1999/xlink"/>`, `<g id="a"/><use href="#a"/>`, []string{"link to outside"}},
	{"picture of another server", `<image href="http://example.org/x.png"/>`, ``, []string{"element image"}},
	{"filter picture", `<filter><feImage href="http://example.org"/></filter>`, `<filter/>`, []string{"element feImage"}},
	{"movement that sets a link", `<set attributeName="href" to="javascript:x"/><animate attributeName="x"/>`, ``, []string{"element set", "element animate"}},
	{"fill from outside", `<rect fill="url(http://example.org/#x)"/>`, `<rect/>`, []string{"link to outside"}},
	{"fill from itself", `<rect fill="url(#x)" stroke='url( "#y" )'/>`, `<rect fill="url(#x)" stroke="url( &quot;#y&quot; )"/>`, nil},
	{"mask from an image set", `<rect mask="image-set('http://example.org/x' 1x)"/>`, `<rect/>`, []string{"function image-set"}},
	{"style attribute", `<rect style="fill:red;behavior:url(x.htc);stroke:url(#a);background:url(//x)"/>`, `<rect style="fill:red;stroke:url(#a)"/>`, []string{"link to outside"}},
	{"hidden url", `<rect style="fill:u\72l(//x);stroke:u/**/rl(//x)"/>`, `<rect/>`, []string{"unusual style", "function rl"}},
	{"url in other letters", `<rect style="fill:URL(//x)"/>`, `<rect/>`, []string{"link to outside"}},
	{"quote that swallows", `<rect style="fill:'red;stroke:blue"/>`, `<rect/>`, nil},
	{"style sheet", `<style>@import url(//x); .a > path, #b { fill : red ; cursor:url(//x) }</style>`, "<style>.a &gt; path, #b{fill:red}\n</style>", []string{"style rule @import", "link to outside"}},
	{"font from outside", `<style>@font-face{font-family:x;src:url(//x)} a{fill:red}</style>`, "<style>a{fill:red}\n</style>", []string{"style rule @font-face"}},
	{"media block", `<style>@media print { a{fill:red} b{fill:blue} } c{fill:green}</style>`, "<style>c{fill:green}\n</style>", []string{"style rule @media"}},
	{"style that closes itself", `<style>a{fill:red}&lt;/style>&lt;script>x&lt;/script></style>`, "<style>a{fill:red}\n</style>", []string{"unusual style"}},
	{"element in a style", `<style><rect/>a{fill:red}</style>`, "<style>a{fill:red}\n</style>", nil},
	{"nested rules", `<style>a{b{fill:url(//x)}}</style>`, ``, []string{"unusual style"}},
	{"programs' own notes", `<metadata>x</metadata><i:view xmlns:i="urn:i" onload="x"><rect/></i:view><g i:x="1" xmlns:i="urn:i" data-name="l"/>`, `<g/>`, nil},
	{"comment and instruction", `<!-- <script>x</script> --><?php x ?><g/>`, `<g/>`, nil},
	{"text is escaped", `<text>&lt;script&gt; a &amp;amp; "b"</text>`, `<text>&lt;script&gt; a &amp;amp; "b"</text>`, nil},
	{"attribute is escaped", `<g class="a&quot;&gt;&lt;x"/>`, `<g class="a&quot;&gt;&lt;x"/>`, nil},
	{"text between shapes", `<g>stray</g>`, `<g/>`, nil},
	{"base address", `<g xml:base="http://example.org/"/>`, `<g/>`, nil},
	{"character data section", `<style><![CDATA[a>b{fill:red}]]></style>`, "<style>a&gt;b{fill:red}\n</style>", nil},
}

func TestCleanSVG(t *testing.T) {
	const head = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 20" width="10" height="20"`
	for _, test := range hostile {
		t.Run(test.name, func(t *testing.T) {
			got, f := cleanSVG([]byte(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 20">` + test.inside + `</svg>`))
			if f != nil {
				t.Fatal(f)
			}
			want := head + ">" + test.left + "</svg>\n"
			if test.left == "" {
				want = head + "/>\n"
			}
			if string(got.markup) != want {
				t.Errorf("left\n%swant\n%s", got.markup, want)
			}
			if !slices.Equal(got.takenOut, test.takenOut) {
				t.Errorf("taken out %q, want %q", got.takenOut, test.takenOut)
			}
			wantClean(t, got.markup)
		})
	}
}

func TestSVGFrame(t *testing.T) {
	for _, test := range []struct {
		root          string
		width, height float64
	}{
		{`viewBox="0 0 300 200"`, 300, 200},
		{`viewBox=" 0,0,300.5 , 2e2 " width="100%" height="3mm"`, 300.5, 200},
		{`width="300" height="200px"`, 300, 200},
		{`width="25.4mm" height="1in"`, 96, 96}, // CSS Values 4: 1in = 25.4mm = 96px
		{`width="72pt" height="6pc"`, 96, 96},   // 1in = 72pt = 6pc
	} {
		got, f := cleanSVG([]byte(`<svg xmlns="http://www.w3.org/2000/svg" ` + test.root + `/>`))
		if f != nil {
			t.Errorf("%s: %v", test.root, f)
		} else if got.width != test.width || got.height != test.height {
			t.Errorf("%s: %g × %g, want %g × %g", test.root, got.width, got.height, test.width, test.height)
		}
	}
}

func TestRefusedSVG(t *testing.T) {
	svg := func(inside string) string {
		return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9">` + inside + `</svg>`
	}
	bomb := `<g id="a0"/>`
	for level := 'a' + 1; level < 'a'+20; level++ {
		before := `<use href="#` + string(level-1) + `0"/>`
		bomb += `<g id="` + string(level) + `0">` + strings.Repeat(before, 10) + `</g>`
	}
	for _, test := range []struct {
		name, svg string
		kind      Kind
		speaks    string
	}{
		{"nothing", ``, NotPicture, "is not an SVG"},
		{"another document", `<html/>`, NotPicture, "is not an SVG"},
		{"another namespace", `<svg xmlns="urn:x" viewBox="0 0 9 9"/>`, NotPicture, "is not an SVG"},
		{"cut short", `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><g>`, Broken, "is broken"},
		{"unknown entity", svg(`<text>&xxe;</text>`), Broken, "is broken"},
		{"entities", `<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]>` + svg(`&x;`), Unusable, "declares entities"},
		{"parameter entity", `<!DOCTYPE svg %x;>` + svg(``), Unusable, "declares entities"},
		{"encoding", `<?xml version="1.0" encoding="utf-16"?>` + svg(``), Broken, "not UTF-8"},
		{"no size", `<svg xmlns="http://www.w3.org/2000/svg"/>`, Unusable, "no size"},
		{"relative size", `<svg xmlns="http://www.w3.org/2000/svg" width="100%" height="1em"/>`, Unusable, "no size"},
		{"empty view box", `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 0 9"/>`, Unusable, "no size"},
		{"boundless view box", `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 Inf NaN"/>`, Unusable, "no size"},
		{"shifted view box", `<svg xmlns="http://www.w3.org/2000/svg" viewBox="-5 0 9 9"/>`, Unusable, "starts at -5 0"},
		{"too deep", svg(strings.Repeat("<g>", 200) + strings.Repeat("</g>", 200)), TooLarge, "deep"},
		{"too deep in what goes", svg(strings.Repeat("<x>", 200) + strings.Repeat("</x>", 200)), TooLarge, "deep"},
		{"too many", svg(strings.Repeat("<g/>", maxElements)), TooLarge, "elements"},
		{"uses that multiply", svg(bomb), TooLarge, "through use"},
		{"use of itself", svg(`<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>`), Unusable, "draws itself"},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, f := cleanSVG([]byte(test.svg))
			if f == nil {
				t.Fatal("no fault")
			}
			if f.Kind != test.kind || !strings.Contains(f.Wrong.String(), test.speaks) || f.Advice.Empty() {
				t.Errorf("fault %+v, want kind %d that speaks of %q", f, test.kind, test.speaks)
			}
		})
	}
}

func TestOrdinaryDoctypeIsDropped(t *testing.T) {
	_, f := cleanSVG([]byte("\ufeff<?xml version=\"1.0\" encoding=\"UTF-8\"?>\r\n" +
		`<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">` +
		`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"/>`))
	if f != nil {
		t.Error(f)
	}
}

func FuzzCleanSVG(f *testing.F) {
	for _, test := range hostile {
		f.Add([]byte(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 20">` + test.inside + `</svg>`))
	}
	drawings, err := filepath.Glob("../../content/*/*.svg")
	if err != nil {
		f.Fatal(err)
	}
	for _, name := range drawings {
		content, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(content)
	}
	f.Fuzz(func(t *testing.T, content []byte) {
		if got, fault := cleanSVG(content); fault == nil {
			wantClean(t, got.markup)
		}
	})
}

// wantClean checks a cleaned drawing by a list of what must not be in it, which
// knows nothing of the cleaner's lists of what may.
func wantClean(t *testing.T, markup []byte) {
	t.Helper()
	again, f := cleanSVG(markup)
	if f != nil {
		t.Fatalf("a cleaned drawing is refused: %v\n%s", f, markup)
	}
	if !bytes.Equal(again.markup, markup) {
		t.Fatalf("cleaned twice\n%s\nonce\n%s", again.markup, markup)
	}
	if len(again.takenOut) > 0 {
		t.Fatalf("%q taken out of a cleaned drawing\n%s", again.takenOut, markup)
	}
	forbidden := []string{"script", "foreignobject", "image", "feimage", "iframe", "a", "set", "animate", "animatetransform", "animatemotion", "handler", "listener"}
	decoder := xml.NewDecoder(bytes.NewReader(markup))
	inStyle := false
	for {
		token, err := decoder.Token()
		if err == io.EOF {
			return
		}
		if err != nil {
			t.Fatalf("a cleaned drawing is not XML: %v\n%s", err, markup)
		}
		switch token := token.(type) {
		case xml.StartElement:
			inStyle = token.Name.Local == "style"
			if token.Name.Space != svgSpace || slices.Contains(forbidden, strings.ToLower(token.Name.Local)) {
				t.Fatalf("element %v\n%s", token.Name, markup)
			}
			for _, a := range token.Attr {
				wantCleanAttribute(t, a, markup)
			}
		case xml.EndElement:
			inStyle = false
		case xml.CharData:
			if inStyle {
				wantCleanStyle(t, string(token), markup)
			}
		case xml.Directive, xml.ProcInst, xml.Comment:
			t.Fatalf("%T\n%s", token, markup)
		}
	}
}

func wantCleanAttribute(t *testing.T, a xml.Attr, markup []byte) {
	t.Helper()
	name := strings.ToLower(a.Name.Local)
	switch {
	case strings.HasPrefix(name, "on"):
		t.Fatalf("event attribute %s\n%s", name, markup)
	case name == "href" && !strings.HasPrefix(a.Value, "#"):
		t.Fatalf("reference to %q\n%s", a.Value, markup)
	case name == "xmlns" && a.Value != svgSpace, name == "base":
		t.Fatalf("attribute %s=%q\n%s", name, a.Value, markup)
	case slices.Contains([]string{"id", "class", "lang", "role", "aria-label", "aria-hidden", "space", "xmlns"}, name):
		return // words, never read as an address or a style
	}
	wantCleanStyle(t, a.Value, markup)
}

func wantCleanStyle(t *testing.T, style string, markup []byte) {
	t.Helper()
	lower := strings.ToLower(style)
	for _, bad := range []string{"@import", "javascript:", "expression(", `\`, "image-set("} {
		if strings.Contains(lower, bad) {
			t.Fatalf("style holds %s\n%s", bad, markup)
		}
	}
	for _, after := range strings.Split(lower, "url(")[1:] {
		if !strings.HasPrefix(strings.TrimLeft(after, " \t\n\r\"'"), "#") {
			t.Fatalf("style reaches outside: url(%s\n%s", after, markup)
		}
	}
}
