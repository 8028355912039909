package source

import (
	"bytes"
	"encoding/json"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	extast "github.com/yuin/goldmark/extension/ast"
	"github.com/yuin/goldmark/renderer"
	"github.com/yuin/goldmark/renderer/html"
	gtext "github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"
	"gotest.tools/v3/assert"

	"matchmark/procedure/text"
	"matchmark/procedure/xhtml"
)

// example is one example of the standard.
type example struct {
	Example                 int
	Section, Markdown, HTML string
}

// commonMark reads the standard's examples.
//
// Source: CommonMark Spec 0.31.2, all 652 examples (testdata/commonmark/README.md).
func commonMark(tb testing.TB) []example {
	src, err := os.ReadFile("../../testdata/commonmark/spec-0.31.2.json")
	assert.NilError(tb, err)
	var examples []example
	assert.NilError(tb, json.Unmarshal(src, &examples))
	if len(examples) != 652 {
		tb.Fatalf("the standard has 652 examples, the file %d", len(examples))
	}
	return examples
}

// CommonMark stays CommonMark: every example of the standard, byte for byte,
// through the parser that reads procedures and goldmark's own renderer; and
// through our tree and renderer, but for what the dialect does in another way.
func TestCommonMark(t *testing.T) {
	plain := renderer.NewRenderer(renderer.WithNodeRenderers(
		util.Prioritized(html.NewRenderer(html.WithXHTML(), html.WithUnsafe()), 1000)))
	asStands := 0
	for _, e := range commonMark(t) {
		source := []byte(e.Markdown)
		var b bytes.Buffer
		doc := newMarkdown().Parser().Parse(gtext.NewReader(source))
		if err := plain.Render(&b, source, doc); err != nil {
			t.Fatalf("example %d: %v", e.Example, err)
		}
		if b.String() != e.HTML {
			t.Errorf("example %d (%s):\n%s\ngives\n%s\nwant\n%s", e.Example, e.Section, e.Markdown, b.String(), e.HTML)
		}
		got, want := bothWays(t, e.Markdown)
		if got != want {
			t.Errorf("example %d (%s):\n%s\ngives the tree\n%s\nwant\n%s", e.Example, e.Section, e.Markdown, got, want)
		}
		if !holds(doc, ast.KindRawHTML, ast.KindHTMLBlock, ast.KindImage) {
			asStands++
			if want := dialect(e.HTML, holds(doc, ast.KindAutoLink)); got != want {
				t.Errorf("example %d (%s):\n%s\ngives the tree\n%s\nthe standard has\n%s", e.Example, e.Section, e.Markdown, got, want)
			}
		}
	}
	if asStands < 500 {
		t.Errorf("only %d examples are compared with the standard's own words", asStands)
	}
}

func holds(doc ast.Node, kinds ...ast.NodeKind) (found bool) {
	_ = ast.Walk(doc, func(n ast.Node, _ bool) (ast.WalkStatus, error) {
		for _, k := range kinds {
			found = found || n.Kind() == k
		}
		return ast.WalkContinue, nil
	})
	return found
}

var (
	heading  = regexp.MustCompile(`(</?h)([1-5])>`)
	href     = regexp.MustCompile(`(<a href=")([^"]*)"`)
	stepHref = regexp.MustCompile(`^#[a-z0-9-]+$`)
	// Line ends at the ends of a list's item mean nothing: what shows on no page leaves some there.
	itemEnds = regexp.MustCompile(`(<li>)\n+|\n+(</li>)`)
)

// dialect returns the standard's HTML as the dialect has it: headings one level
// down, links to steps and to the web alone. Addresses in angle brackets stay whatever they are.
func dialect(markup string, addresses bool) string {
	markup = heading.ReplaceAllStringFunc(markup, func(tag string) string {
		at := len(tag) - 2
		return tag[:at] + string(tag[at]+1) + ">"
	})
	return even(href.ReplaceAllStringFunc(markup, func(link string) string {
		to := href.FindStringSubmatch(link)[2]
		if addresses || stepHref.MatchString(to) || strings.HasPrefix(to, "http") {
			return link
		}
		return `<a href=""`
	}))
}

func even(markup string) string {
	return strings.TrimSpace(itemEnds.ReplaceAllString(markup, "$1$2"))
}

// bothWays renders Markdown from our tree, and from goldmark's by its own renderer.
func bothWays(t *testing.T, src string) (got, want string) {
	t.Helper()
	r := &reader{file: text.NewFile("a.md", []byte(src)), src: []byte(src), text: src}
	doc := newMarkdown().Parser().Parse(gtext.NewReader(r.src))
	var blocks []ast.Node
	for n := doc.FirstChild(); n != nil; n = n.NextSibling() {
		blocks = append(blocks, n)
	}
	got = xhtml.String(r.tree(blocks...))
	_ = ast.Walk(doc, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if link, ok := n.(*ast.Link); ok && entering && !isWeb(link.Destination) && !stepHref.Match(link.Destination) {
			link.Destination = nil
		}
		return ast.WalkContinue, nil
	})
	var b bytes.Buffer
	own := goldmark.New(goldmark.WithExtensions(extension.Table), goldmark.WithRendererOptions(html.WithXHTML())).Renderer()
	own.AddOptions(renderer.WithNodeRenderers(util.Prioritized(proseRenderer{}, 100)))
	assert.NilError(t, own.Render(&b, r.src, doc))
	return even(got), even(legal(b.String()))
}

// proseRenderer shows raw HTML as the text that it is and moves headings one
// level down, below the page's own. Cells are bare: they have no attributes here.
type proseRenderer struct{}

func (proseRenderer) RegisterFuncs(reg renderer.NodeRendererFuncRegisterer) {
	reg.Register(ast.KindRawHTML, func(w util.BufWriter, source []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
		if entering {
			segments := n.(*ast.RawHTML).Segments
			if isComment(segments.Value(source)) {
				return ast.WalkSkipChildren, nil
			}
			for i := range segments.Len() {
				seg := segments.At(i)
				_, _ = w.Write(util.EscapeHTML(seg.Value(source)))
			}
		}
		return ast.WalkSkipChildren, nil
	})
	reg.Register(ast.KindHTMLBlock, func(w util.BufWriter, source []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
		if entering {
			b := n.(*ast.HTMLBlock)
			words := b.Lines().Value(source)
			if b.HasClosure() {
				words = append(words[:len(words):len(words)], b.ClosureLine.Value(source)...)
			}
			if !isComment(words) {
				_, _ = w.WriteString("<p>")
				_, _ = w.Write(util.EscapeHTML(words))
				_, _ = w.WriteString("</p>\n")
			}
		}
		return ast.WalkContinue, nil
	})
	reg.Register(kindFence, func(util.BufWriter, []byte, ast.Node, bool) (ast.WalkStatus, error) {
		return ast.WalkSkipChildren, nil // Reported: a block inside a list or a quotation is on no page.
	})
	reg.Register(ast.KindImage, func(util.BufWriter, []byte, ast.Node, bool) (ast.WalkStatus, error) {
		return ast.WalkContinue, nil // Reported: of a picture its words are left.
	})
	reg.Register(ast.KindHeading, func(w util.BufWriter, _ []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
		level := byte('0' + min(n.(*ast.Heading).Level+1, 6))
		if entering {
			_, _ = w.Write([]byte{'<', 'h', level, '>'})
		} else {
			_, _ = w.Write([]byte{'<', '/', 'h', level, '>', '\n'})
		}
		return ast.WalkContinue, nil
	})
	reg.Register(extast.KindTableCell, func(w util.BufWriter, _ []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
		opening, closing := "<td>", "</td>\n"
		if n.Parent().Kind() == extast.KindTableHeader {
			opening, closing = "<th>", "</th>\n"
		}
		if entering {
			_, _ = w.WriteString(opening)
		} else {
			_, _ = w.WriteString(closing)
		}
		return ast.WalkContinue, nil
	})
}
