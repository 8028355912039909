package source

import (
	"bytes"
	"encoding/json"
	"os"
	"testing"

	"github.com/yuin/goldmark/renderer"
	"github.com/yuin/goldmark/renderer/html"
	gtext "github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"
)

// CommonMark stays CommonMark: every example of the standard, byte for byte,
// through the parser that reads procedures. The renderer is goldmark's own,
// because ours moves headings and shows HTML as text on purpose.
//
// Source: CommonMark Spec 0.31.2, all 652 examples (testdata/commonmark/README.md).
func TestCommonMark(t *testing.T) {
	src, err := os.ReadFile("../../testdata/commonmark/spec-0.31.2.json")
	if err != nil {
		t.Fatal(err)
	}
	var examples []struct {
		Example                 int
		Section, Markdown, HTML string
	}
	if err := json.Unmarshal(src, &examples); err != nil {
		t.Fatal(err)
	}
	if len(examples) != 652 {
		t.Fatalf("the standard has 652 examples, the file %d", len(examples))
	}
	parser := newMarkdown().Parser()
	plain := renderer.NewRenderer(renderer.WithNodeRenderers(
		util.Prioritized(html.NewRenderer(html.WithXHTML(), html.WithUnsafe()), 1000)))
	for _, e := range examples {
		source := []byte(e.Markdown)
		var b bytes.Buffer
		if err := plain.Render(&b, source, parser.Parse(gtext.NewReader(source))); err != nil {
			t.Fatalf("example %d: %v", e.Example, err)
		}
		if b.String() != e.HTML {
			t.Errorf("example %d (%s):\n%s\ngives\n%s\nwant\n%s", e.Example, e.Section, e.Markdown, b.String(), e.HTML)
		}
	}
}
