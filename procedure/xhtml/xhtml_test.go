package xhtml

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"matchmark/procedure/prose"
)

func TestString(t *testing.T) {
	word := func(s string) prose.Node { return prose.Node{Kind: prose.Text, Text: s} }
	for _, c := range []struct {
		want  string
		nodes []prose.Node
	}{
		{"", nil},
		{"<p>a &lt;b&gt; &amp; &quot;c&quot; 'd' \uFFFD\uFFFDe</p>", []prose.Node{{Kind: prose.Paragraph, Inside: 1}, word("a <b> & \"c\" 'd' \x01\uFFFF\re")}},
		{"<h2>a</h2>\n<h6>b</h6>", []prose.Node{{Kind: prose.Heading, Level: 1, Inside: 1}, word("a"), {Kind: prose.Heading, Level: 6, Inside: 1}, word("b")}},
		{`<code>4</code><em class="mention">the &lt;bolt&gt;</em>`, []prose.Node{{Kind: prose.Mention, To: "4"}, {Kind: prose.Mention, To: "4", Text: "the <bolt>"}}},
		{`<a href="#x">a</a><a href="https://a.example/?b&amp;c" title="&quot;t&quot;">b</a>`, []prose.Node{
			{Kind: prose.StepLink, To: "x", Inside: 1}, word("a"), {Kind: prose.WebLink, To: "https://a.example/?b&c", Text: "\"t\"", Inside: 1}, word("b"),
		}},
		{"<ol start=\"3\">\n<li>a\n<ul>\n<li></li>\n</ul>\n</li>\n<li>\n<hr />\nb</li>\n</ol>", []prose.Node{
			{Kind: prose.NumberedList, To: "3", Inside: 9}, {Kind: prose.Item, Inside: 4}, {Kind: prose.Line, Inside: 1}, word("a"),
			{Kind: prose.List, Inside: 1}, {Kind: prose.Item}, {Kind: prose.Item, Inside: 3}, {Kind: prose.Rule}, {Kind: prose.Line, Inside: 1}, word("b"),
		}},
		{"<table>\n<thead>\n<tr>\n<th>a</th>\n</tr>\n</thead>\n</table>", []prose.Node{
			{Kind: prose.Table, Inside: 3}, {Kind: prose.HeadRow, Inside: 2}, {Kind: prose.Cell, Inside: 1}, word("a"),
		}},
		{"<pre><code class=\"language-go&quot;&gt;\">a\n</code></pre>", []prose.Node{{Kind: prose.CodeBlock, To: "go\">", Inside: 2}, word("a"), {Kind: prose.SoftBreak}}},
	} {
		if got := String(c.nodes); got != c.want {
			t.Errorf("got\n%s\nwant\n%s", got, c.want)
		}
	}
}

// Whatever words, names and addresses a tree holds, it comes out well-formed, with
// the elements of its nodes and no others, and with all its words.
func TestWellFormed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		said := ""
		say := func() string {
			s := rapid.String().Draw(t, "words")
			said += legal(s)
			return s
		}
		var tree func(depth int) []prose.Node
		tree = func(depth int) (out []prose.Node) {
			for range rapid.IntRange(0, 4).Draw(t, "nodes") {
				n := prose.Node{Kind: rapid.SampledFrom([]prose.Kind{
					prose.Paragraph, prose.Line, prose.Heading, prose.List, prose.NumberedList, prose.Item, prose.Quotation, prose.CodeBlock, prose.Rule,
					prose.Emphasis, prose.Strong, prose.StepLink, prose.WebLink, prose.Text, prose.Code, prose.Mention, prose.SoftBreak, prose.HardBreak,
				}).Draw(t, "kind"), Level: uint8(rapid.IntRange(1, 6).Draw(t, "level")), To: rapid.String().Draw(t, "to")}
				switch n.Kind {
				case prose.Text, prose.Code:
					n.Text = say()
				case prose.Mention:
					if n.Text = say(); n.Text == "" {
						said += legal(n.To)
					}
				case prose.StepLink, prose.WebLink:
					n.Text = rapid.String().Draw(t, "title")
				}
				var inside []prose.Node
				if depth > 0 && (n.Kind <= prose.WebLink && n.Kind != prose.Rule) {
					inside = tree(depth - 1)
				}
				n.Inside = int32(len(inside))
				out = append(append(out, n), inside...)
			}
			return out
		}
		markup := String(tree(3))
		d := xml.NewDecoder(strings.NewReader("<x>" + markup + "</x>"))
		shown := ""
		for {
			token, err := d.Token()
			if errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				t.Fatalf("%v in\n%s", err, markup)
			}
			switch token := token.(type) {
			case xml.StartElement:
				if !strings.Contains(" x p h2 h3 h4 h5 h6 ul ol li blockquote pre code hr em strong a br ", " "+token.Name.Local+" ") {
					t.Fatalf("the element %s in\n%s", token.Name.Local, markup)
				}
			case xml.CharData:
				shown += string(token)
			}
		}
		if without := strings.Join(strings.Fields(shown), ""); without != strings.Join(strings.Fields(said), "") {
			t.Fatalf("said\n%q\nshown\n%q", said, shown)
		}
	})
}
