package source

import (
	"bufio"
	"bytes"
	stdhtml "html"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/yuin/goldmark/ast"
	extast "github.com/yuin/goldmark/extension/ast"
	"github.com/yuin/goldmark/renderer/html"
	gtext "github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"

	"matchmark/procedure"
	"matchmark/procedure/prose"
	"matchmark/procedure/say"
)

// tree turns nodes of goldmark's tree into prose.
func (r *reader) tree(nodes ...ast.Node) []prose.Node {
	r.nodes = r.nodes[:0]
	for _, n := range nodes {
		r.addNode(n)
	}
	return slices.Clone(r.nodes)
}

// plainWords returns the words of a block with inline content, outside of any prose.
func (r *reader) plainWords(n ast.Node) string {
	if t, ok := n.FirstChild().(*ast.Text); ok && t.NextSibling() == nil && !t.HardLineBreak() && !t.SoftLineBreak() {
		return strings.TrimRight(strings.TrimLeft(resolved(r.value(t.Segment)), " \t"), " ") // as most are
	}
	return procedure.Prose{Nodes: r.tree(n)}.Plain()
}

// addNode adds a node with all that is in it. HTML becomes the words that it is;
// what is reported as an error adds its words alone, or nothing.
func (r *reader) addNode(n ast.Node) {
	at := len(r.nodes)
	node := prose.Node{Kind: kinds[n.Kind()]}
	var whole *gtext.Segments // the lines of a block that stand as they are
	switch n := n.(type) {
	case *ast.Text:
		r.addText(n)
		return
	case *ast.CodeSpan:
		r.addCode(n)
		return
	case *ast.RawHTML:
		if !isComment(n.Segments.Value(r.src)) {
			r.addLines(n.Segments)
		}
		return
	case *ast.Image:
		r.addInside(n)
		return
	case *fence, *ast.LinkReferenceDefinition:
		return
	case *ast.TextBlock:
		if !n.HasChildren() {
			return
		}
	case *ast.HTMLBlock:
		if r.silent(n) {
			return
		}
		whole = n.Lines()
	case *ast.CodeBlock:
		whole = n.Lines()
	case *ast.FencedCodeBlock:
		node.To, whole = resolved(string(n.Language(r.src))), n.Lines()
	case *ast.Heading:
		node.Level = uint8(n.Level)
	case *ast.List:
		if n.IsOrdered() {
			node.Kind = prose.NumberedList
		}
		if n.IsOrdered() && n.Start != 1 {
			node.To = strconv.Itoa(n.Start)
		}
	case *ast.Emphasis:
		if n.Level == 2 {
			node.Kind = prose.Strong
		}
	case *ast.Link:
		node.Kind, node.To = linkTo(n)
		node.Text = resolved(string(n.Title))
		span := r.near(n)
		node.Start, node.End = int32(span.Start), int32(span.End)
	case *ast.AutoLink:
		node.To = address(n, r.src)
	}
	r.nodes = append(r.nodes, node)
	if whole != nil {
		r.addLines(whole)
	}
	switch n := n.(type) {
	case *ast.HTMLBlock:
		if n.HasClosure() {
			r.addLine(n.ClosureLine)
		}
	case *ast.AutoLink:
		label, start := n.Label(r.src), n.Pos()+len("<")
		r.addWords(prose.Text, string(label), start, start+len(label))
	}
	r.addInside(n)
	r.nodes[at].Inside = int32(len(r.nodes) - at - 1)
}

// kinds are our kinds of goldmark's nodes that others stand in.
var kinds = map[ast.NodeKind]prose.Kind{
	ast.KindParagraph: prose.Paragraph, ast.KindTextBlock: prose.Line, ast.KindHTMLBlock: prose.Paragraph, ast.KindHeading: prose.Heading,
	ast.KindList: prose.List, ast.KindListItem: prose.Item, ast.KindBlockquote: prose.Quotation, ast.KindThematicBreak: prose.Rule,
	ast.KindCodeBlock: prose.CodeBlock, ast.KindFencedCodeBlock: prose.CodeBlock,
	extast.KindTable: prose.Table, extast.KindTableHeader: prose.HeadRow, extast.KindTableRow: prose.Row, extast.KindTableCell: prose.Cell,
	ast.KindEmphasis: prose.Emphasis, ast.KindAutoLink: prose.WebLink,
}

func (r *reader) addInside(n ast.Node) {
	for c := n.FirstChild(); c != nil; c = c.NextSibling() {
		r.addNode(c)
	}
}

// addWords adds a node that is words and nothing else; start and end count from the start of the parsed text.
func (r *reader) addWords(kind prose.Kind, words string, start, end int) {
	r.nodes = append(r.nodes, prose.Node{Kind: kind, Text: words, Start: int32(start + r.base), End: int32(end + r.base)})
}

func (r *reader) addText(n *ast.Text) {
	if words := resolved(r.value(n.Segment)); words != "" {
		r.addWords(prose.Text, words, n.Segment.Start, n.Segment.Stop)
	}
	switch {
	case n.HardLineBreak():
		r.nodes = append(r.nodes, prose.Node{Kind: prose.HardBreak})
	case n.SoftLineBreak():
		r.nodes = append(r.nodes, prose.Node{Kind: prose.SoftBreak})
	}
}

// addCode adds what stands in code marks, line ends as spaces. One name alone is a mention.
func (r *reader) addCode(n *ast.CodeSpan) {
	words, start, end := "", -1, 0
	for c := n.FirstChild(); c != nil; c = c.NextSibling() {
		line := c.(*ast.Text).Segment // code marks hold no other nodes
		value := r.value(line)
		if cut, ok := strings.CutSuffix(value, "\n"); ok {
			value = strings.TrimSuffix(cut, "\r") + " "
		}
		words += value
		if start < 0 {
			start = line.Start
		}
		end = line.Stop
	}
	r.addWords(prose.Code, words, start, end)
	if isName(words) || isValueRef(words) {
		code := &r.nodes[len(r.nodes)-1]
		code.Kind, code.To, code.Text = prose.Mention, words, ""
	}
}

// linkTo returns what a link leads to. An unknown scheme must not reach a page.
func linkTo(n *ast.Link) (kind prose.Kind, to string) {
	if step, ok := strings.CutPrefix(string(n.Destination), "#"); ok && isName(step) {
		return prose.StepLink, step
	}
	if isWeb(n.Destination) {
		return prose.WebLink, string(util.URLEscape(n.Destination, true))
	}
	return prose.WebLink, ""
}

func isWeb(address []byte) bool {
	return bytes.HasPrefix(address, []byte("https://")) || bytes.HasPrefix(address, []byte("http://"))
}

// address returns where an address in angle brackets leads.
func address(n *ast.AutoLink, src []byte) string {
	url := util.URLEscape(n.URL(src), false)
	switch {
	case html.IsDangerousURL(url):
		return ""
	case n.AutoLinkType == ast.AutoLinkEmail && !bytes.HasPrefix(bytes.ToLower(url), []byte("mailto:")):
		return "mailto:" + string(url)
	}
	return string(url)
}

// addLines adds lines that stand as they are written.
func (r *reader) addLines(lines *gtext.Segments) {
	for i := range lines.Len() {
		r.addLine(lines.At(i))
	}
}

func (r *reader) addLine(line gtext.Segment) {
	words, ended := strings.CutSuffix(r.value(line), "\n")
	if words != "" {
		start, end := trim(r.src, line.Start, line.Stop)
		r.addWords(prose.Text, words, start, end)
	}
	if ended {
		r.nodes = append(r.nodes, prose.Node{Kind: prose.SoftBreak})
	}
}

// value returns the text of a segment.
func (r *reader) value(s gtext.Segment) string {
	if s.Padding == 0 && !s.ForceNewline {
		return r.text[s.Start:s.Stop]
	}
	return string(s.Value(r.src))
}

// resolved returns text with its backslash escapes and character references
// replaced by what they stand for. Goldmark does that on the way to HTML only.
func resolved(s string) string {
	if !strings.ContainsAny(s, `\&`) {
		return s
	}
	var out bytes.Buffer
	w := bufio.NewWriterSize(&out, len(s))
	html.DefaultWriter.Write(w, []byte(s))
	_ = w.Flush() // a buffer takes everything
	return stdhtml.UnescapeString(out.String())
}

var undefinedLink = regexp.MustCompile(`\[[^\[\]]+\]\[[^\[\]]*\]`)

// undefinedLinks reports reference links of a paragraph without a target: Markdown leaves their square brackets in the text.
func (r *reader) undefinedLinks(n ast.Node) {
	span := r.spanOf(n)
	if !bytes.Contains(r.file.Source[span.Start:span.End], []byte("][")) {
		return
	}
	p := procedure.Prose{Nodes: r.tree(n), Span: span}
	for _, q := range p.Paragraphs() {
		for _, at := range undefinedLink.FindAllStringIndex(q.Text, -1) {
			span := q.SpanOf(at[0], at[1])
			// What stands in code marks is no link.
			if slices.ContainsFunc(p.Nodes, func(n prose.Node) bool {
				return (n.Kind == prose.Code || n.Kind == prose.Mention) && int(n.Start) <= span.Start && span.Start < int(n.End)
			}) {
				continue
			}
			r.report("undefined-link", span, say.That("the link %link has no target", say.Name(q.Text[at[0]:at[1]])),
				say.That("Write [words](#step) for a step, or define the link's target."))
		}
	}
}
