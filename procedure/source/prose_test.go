package source

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/xhtml"
)

// everything is a step with one word of its own in each place where Markdown takes words.
const everything = `# Alpha *beta*

Gamma **delta** _epsilon_ ` + "`zeta` ``eta ` theta``" + ` [iota](#look) [kappa](https://a.example "lambda")\
mu <https://nu.example> &xi; &amp; \* omicron
pi.

Rho
===

- sigma
- tau

  upsilon
  1. phi
  2. chi

     > psi
     > - omega
* * *
> Aleph
continues

    beth gimel

` + "```text\ndaleth ::: he\n:::\n```" + `

| Vav | Zayin |
|:---|---:|
| heth | teth \| yodh |
| ` + "`kaph \\| lamedh`" + ` | |

<em>mem</em> [nun][samekh] [ayin]

<section>
pe tsade
</section>

[samekh]: #look
[ayin]: https://resh.example 'shin'
`

// Nothing that an author writes is lost: every word of a step of prose is in its
// markup, and in its plain words too.
func TestNoWordIsLost(t *testing.T) {
	p, all := readProcedure(t, procedureHead+stepHead+everything+":::\n")
	for _, d := range all {
		if d.Code != "raw-html" {
			t.Fatalf("the step brings\n%s", printed(all))
		}
	}
	var shown, plain string
	for _, b := range p.Steps[0].Blocks {
		prose := b.(*procedure.Instruction).Prose
		shown += markup(prose)
		plain += prose.Plain() + " "
	}
	words := strings.Fields("Alpha beta Gamma delta epsilon zeta eta theta iota kappa mu https://nu.example omicron pi Rho sigma tau upsilon phi chi " +
		"psi omega Aleph continues beth gimel daleth he Vav Zayin heth teth yodh kaph lamedh mem nun ayin pe tsade")
	for _, w := range words {
		if !strings.Contains(shown, w) {
			t.Errorf("%q is not in the markup:\n%s", w, shown)
		}
		if !strings.Contains(plain, w) {
			t.Errorf("%q is not in the plain words:\n%s", w, plain)
		}
	}
	for _, attribute := range []string{`title="lambda"`, `title="shin"`, `href="https://resh.example"`} {
		if !strings.Contains(shown, attribute) {
			t.Errorf("%s is not in the markup:\n%s", attribute, shown)
		}
	}
	wellFormed(t, shown)
}

func markup(p procedure.Prose) string { return xhtml.String(p.Nodes) }

// wellFormed fails the test when markup is not a well-formed XML fragment.
func wellFormed(t *testing.T, markup string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader("<x>" + markup + "</x>"))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return
		} else if err != nil {
			t.Fatalf("%v in\n%s", err, markup)
		}
	}
}

func TestMarkup(t *testing.T) {
	for _, c := range []struct{ src, want string }{
		{"One *two* **three**.", "<p>One <em>two</em> <strong>three</strong>.</p>"},
		{"One\\\ntwo  \nthree", "<p>One<br />\ntwo<br />\nthree</p>"},
		{"# Heading", "<h2>Heading</h2>"},
		{"###### Heading", "<h6>Heading</h6>"},
		{"See [it](#look).", `<p>See <a href="#look">it</a>.</p>`},
		{"| a |\n|:-:|\n| b |", "<table>\n<thead>\n<tr>\n<th>a</th>\n</tr>\n</thead>\n<tbody>\n<tr>\n<td>b</td>\n</tr>\n</tbody>\n</table>"},
		{"a <!-- note --> b", "<p>a  b</p>"},
		{"a & b < c \"d\"", "<p>a &amp; b &lt; c &quot;d&quot;</p>"},
		{"::", "<p>::</p>"},
		{"a ::: b", "<p>a ::: b</p>"},
		{"`:::`", "<p><code>:::</code></p>"},
		{"    : tip", "<pre><code>: tip\n</code></pre>"},
	} {
		s := readStep(t, c.src+"\n")
		if got := markup(s.Blocks[0].(*procedure.Instruction).Prose); got != c.want {
			t.Errorf("%q gives\n%s\nwant\n%s", c.src, got, c.want)
		}
	}
}

// Scripts and addresses that run something reach no page, in whatever way they are written.
func TestNoMarkupOfTheAuthors(t *testing.T) {
	for _, src := range []string{
		"<script>alert(1)</script>", "a <b onclick=x>b</b>", "<img src=x onerror=y>", "[a](javascript:x)", "[a](JaVaScRiPt:x)",
		"[a](data:text/html,x)", "[a](vbscript:x)", "[a]( <javascript:x> )", "![a](javascript:x)", "<javascript:x>", "[a][b]\n\n[b]: javascript:x",
		"<iframe src=\"https://a.example\"></iframe>", "<!-- --><script>x</script>", "<!--> <script>x</script> -->", "<?php x ?>", "<![CDATA[<b>]]>",
		"[a](https://a.example \"x\\\" onclick=\\\"y\")", "`<script>`", "```\"><script>\nx\n```", "&lt;script&gt;",
	} {
		p, _ := readProcedure(t, procedureHead+stepHead+src+"\n:::\n")
		for _, b := range p.Steps[0].Blocks {
			got := markup(b.(*procedure.Instruction).Prose)
			wellFormed(t, got)
			d := xml.NewDecoder(strings.NewReader("<x>" + got + "</x>"))
			for {
				token, err := d.Token()
				if err != nil {
					break
				}
				e, ok := token.(xml.StartElement)
				if !ok {
					continue
				}
				if !strings.Contains(" x p a em strong code pre br img ", " "+e.Name.Local+" ") {
					t.Errorf("%q gives the element <%s>: %s", src, e.Name.Local, got)
				}
				for _, a := range e.Attr {
					if strings.HasPrefix(a.Name.Local, "on") || strings.Contains(strings.ToLower(a.Value), "script:") || strings.HasPrefix(a.Value, "data:") {
						t.Errorf("%q gives %s=%q: %s", src, a.Name.Local, a.Value, got)
					}
				}
			}
		}
	}
}

// The words of a paragraph know where they stand in the file.
func TestWordsKnowTheirPlace(t *testing.T) {
	s := readStep(t, "Undo *the* bolts &amp; `pin`,\nthen wait.\n\n| a | cell |\n|---|---|\n| b | word |\n\n    some code\n    more code\n")
	prose := s.Blocks[0].(*procedure.Instruction).Prose
	for _, w := range []string{"Undo", "the", "bolts", "pin", "then", "wait", "cell", "word", "some", "more code"} {
		found := false
		for _, p := range prose.Paragraphs() {
			at := strings.Index(p.Text, w)
			if at < 0 {
				continue
			}
			found = true
			if got := p.SpanOf(at, at+len(w)).Text(); got != w {
				t.Errorf("%q is said to stand at %q", w, got)
			}
		}
		if !found {
			t.Errorf("%q is in no paragraph: %v", w, prose.Plain())
		}
	}
}

func TestLinksAndMentions(t *testing.T) {
	s := readStep(t, "See [that *step*](#look) and `hoist-on`, not `Hoist` or `a b`.\n")
	prose := s.Blocks[0].(*procedure.Instruction).Prose
	if len(prose.Links()) != 1 || prose.Links()[0].ID != "look" || prose.Links()[0].Span.Text() != "that " {
		t.Errorf("links: %+v", prose.Links())
	}
	if len(prose.Mentions()) != 1 || prose.Mentions()[0].ID != "hoist-on" || prose.Mentions()[0].Span.Text() != "hoist-on" {
		t.Errorf("mentions: %+v", prose.Mentions())
	}
}
