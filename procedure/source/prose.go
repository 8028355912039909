package source

import (
	"bytes"
	"regexp"
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/renderer"
	"github.com/yuin/goldmark/renderer/html"
	"github.com/yuin/goldmark/util"

	"matchmark/procedure"
	"matchmark/procedure/text"
)

// newMarkdown returns the dialect's Markdown: CommonMark, tables and colon
// fences, written as XHTML. Raw HTML and headings go through our own renderer.
func newMarkdown() goldmark.Markdown {
	m := goldmark.New(
		goldmark.WithExtensions(extension.Table, fences{}),
		goldmark.WithRendererOptions(html.WithXHTML()),
	)
	m.Renderer().AddOptions(renderer.WithNodeRenderers(util.Prioritized(proseRenderer{}, 100)))
	return m
}

// proseRenderer shows raw HTML as the text that it is and moves headings one
// level down, below the page's own.
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
			_, _ = w.WriteString("<p>")
			_, _ = w.Write(util.EscapeHTML(htmlOf(n.(*ast.HTMLBlock), source)))
			_, _ = w.WriteString("</p>\n")
		}
		return ast.WalkContinue, nil
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
}

// prose turns blocks of Markdown into prose and reports what prose may not hold.
func (r *reader) prose(nodes []ast.Node) procedure.Prose {
	var p procedure.Prose
	if len(nodes) == 0 {
		return p
	}
	var buf markupBuffer
	for _, n := range nodes {
		if r.commentBlock(n) {
			continue
		}
		r.checkProse(n, &p)
		// The buffer takes every write and the renderers return no errors of their own.
		_ = r.md.Renderer().Render(&buf, r.src, n)
		r.paragraphs(n, &p)
	}
	p.Markup = strings.TrimSpace(strings.ReplaceAll(buf.String(), "\r", ""))
	first, last := nodes[0], nodes[len(nodes)-1]
	p.Span = text.Span{File: r.file, Start: r.startOf(first), End: r.endOf(last)}
	return p
}

// markupBuffer is a buffer that goldmark writes to as it is, without one of its own in between.
type markupBuffer struct{ bytes.Buffer }

// Buffered implements util.BufWriter.
func (b *markupBuffer) Buffered() int { return 0 }

// Flush implements util.BufWriter.
func (b *markupBuffer) Flush() error { return nil }

// inlineProse is prose without the paragraph around it, for list items.
func (r *reader) inlineProse(nodes []ast.Node) procedure.Prose {
	p := r.prose(nodes)
	if inner, ok := strings.CutPrefix(p.Markup, "<p>"); ok && strings.HasSuffix(inner, "</p>") && strings.Count(p.Markup, "<p>") == 1 {
		p.Markup = strings.TrimSuffix(inner, "</p>")
	}
	return p
}

// isComment reports whether HTML is one comment and nothing else. Comments are
// the author's notes: they get no further, and nobody is told.
func isComment(html []byte) bool {
	html = bytes.TrimSpace(html)
	return bytes.HasPrefix(html, []byte("<!--")) && bytes.HasSuffix(html, []byte("-->")) && bytes.Count(html, []byte("-->")) == 1
}

// commentBlock reports whether a block is a comment.
func (r *reader) commentBlock(n ast.Node) bool {
	b, ok := n.(*ast.HTMLBlock)
	if !ok {
		return false
	}
	return isComment(htmlOf(b, r.src))
}

// htmlOf returns the whole text of an HTML block; goldmark keeps its last line apart.
func htmlOf(b *ast.HTMLBlock, source []byte) []byte {
	html := b.Lines().Value(source)
	if b.HasClosure() {
		html = append(html[:len(html):len(html)], b.ClosureLine.Value(source)...)
	}
	return html
}

var undefinedLink = regexp.MustCompile(`\[[^\[\]]+\]\[[^\[\]]*\]`)

// paragraphs adds the plain words of a block.
func (r *reader) paragraphs(n ast.Node, p *procedure.Prose) {
	switch n := n.(type) {
	case *ast.Paragraph, *ast.TextBlock, *ast.Heading:
		q := r.plain(n)
		if q.Text == "" {
			return
		}
		for _, at := range undefinedLink.FindAllStringIndex(q.Text, -1) {
			r.report("undefined-link", q.SpanOf(at[0], at[1]), "the link "+q.Text[at[0]:at[1]]+" has no target",
				"Write [words](#step) for a step, or define the link's target.")
		}
		p.Paragraphs = append(p.Paragraphs, q)
		return
	case *ast.HTMLBlock:
		p.Paragraphs = append(p.Paragraphs, procedure.Paragraph{Text: strings.TrimSpace(string(htmlOf(n, r.src)))})
		return
	}
	for c := n.FirstChild(); c != nil; c = c.NextSibling() {
		if c.Type() == ast.TypeBlock {
			r.paragraphs(c, p)
		}
	}
}

// plain returns the words of a block with inline content, and where each came from.
func (r *reader) plain(n ast.Node) procedure.Paragraph {
	var b strings.Builder
	var q procedure.Paragraph
	_ = ast.Walk(n, func(c ast.Node, entering bool) (ast.WalkStatus, error) {
		if !entering {
			return ast.WalkContinue, nil
		}
		switch c := c.(type) {
		case *ast.Text:
			value := c.Segment.Value(r.src)
			if !c.IsRaw() {
				value = util.ResolveEntityNames(util.ResolveNumericReferences(util.UnescapePunctuations(value)))
			}
			if len(value) > 0 {
				q.Pieces = append(q.Pieces, procedure.Piece{At: b.Len(), Span: r.segment(c.Segment.Start, c.Segment.Stop)})
				b.Write(value)
			}
			if c.SoftLineBreak() || c.HardLineBreak() {
				b.WriteByte(' ')
			}
		case *ast.String:
			b.Write(c.Value)
		case *ast.AutoLink:
			b.Write(c.Label(r.src))
		}
		return ast.WalkContinue, nil
	})
	q.Text = strings.TrimRight(strings.ReplaceAll(b.String(), "\r", ""), " ")
	return q
}

// checkProse reports what prose may not hold and notes its links and mentions.
func (r *reader) checkProse(n ast.Node, p *procedure.Prose) {
	_ = ast.Walk(n, func(c ast.Node, entering bool) (ast.WalkStatus, error) {
		if !entering {
			return ast.WalkContinue, nil
		}
		switch c := c.(type) {
		case *fence:
			r.report("misplaced-block", r.fenceSpan(c), "a block cannot stand inside a list or a quotation",
				"Start the line with the colons at the left margin, after an empty line.")
			return ast.WalkSkipChildren, nil
		case *ast.HTMLBlock:
			r.report("raw-html", r.segment(r.startOf(c)-r.base, r.endOf(c)-r.base), "HTML is not passed through; it is shown as text",
				"Write it in Markdown.")
		case *ast.RawHTML:
			if isComment(c.Segments.Value(r.src)) {
				return ast.WalkContinue, nil
			}
			seg := c.Segments.At(0)
			r.report("raw-html", r.segment(seg.Start, seg.Stop), "HTML is not passed through; it is shown as text",
				"Write it in Markdown, or put code marks (`) around it.")
		case *ast.Image:
			r.report("picture-in-text", r.near(c), "a picture cannot stand in running text",
				"Define a figure block and show it with {figure=name}.")
		case *ast.Link:
			r.checkLink(c, p)
		case *ast.CodeSpan:
			if t, ok := c.FirstChild().(*ast.Text); ok && c.ChildCount() == 1 {
				if id := string(t.Segment.Value(r.src)); isName(id) {
					p.Mentions = append(p.Mentions, procedure.Ref{ID: id, Span: r.segment(t.Segment.Start, t.Segment.Stop)})
				}
			}
		}
		return ast.WalkContinue, nil
	})
}

func (r *reader) checkLink(c *ast.Link, p *procedure.Prose) {
	target := string(c.Destination)
	switch {
	case strings.HasPrefix(target, "#") && isName(target[1:]):
		p.Links = append(p.Links, procedure.Ref{ID: target[1:], Span: r.near(c)})
	case strings.HasPrefix(target, "https://"), strings.HasPrefix(target, "http://"):
	default:
		r.report("link-target", r.near(c), "the link's target "+quote(target)+" is neither a step nor a web address",
			"Write (#step-name) for a step, or an address that starts with https://.")
		// An unknown scheme must not reach a page.
		c.Destination = nil
	}
}

// near returns the place of a node's first text, or of the block around it.
func (r *reader) near(n ast.Node) text.Span {
	var found *ast.Text
	_ = ast.Walk(n, func(c ast.Node, entering bool) (ast.WalkStatus, error) {
		if t, ok := c.(*ast.Text); ok && entering {
			found = t
			return ast.WalkStop, nil
		}
		return ast.WalkContinue, nil
	})
	if found != nil {
		return r.segment(found.Segment.Start, found.Segment.Stop)
	}
	for n != nil && n.Type() != ast.TypeBlock {
		n = n.Parent()
	}
	if n == nil {
		return r.segment(0, 0)
	}
	return text.Span{File: r.file, Start: r.startOf(n), End: r.endOf(n)}
}

// segment turns a range of the parsed text into a place in the file.
func (r *reader) segment(start, stop int) text.Span {
	return r.file.Span(start+r.base, stop+r.base)
}

// startOf returns the file offset where a block's own text starts.
func (r *reader) startOf(n ast.Node) int {
	if f, ok := n.(*fence); ok {
		return f.start + r.base
	}
	if n.Type() == ast.TypeBlock && n.Lines().Len() > 0 {
		return n.Lines().At(0).Start + r.base
	}
	for c := n.FirstChild(); c != nil; c = c.NextSibling() {
		if c.Type() == ast.TypeBlock {
			return r.startOf(c)
		}
	}
	return max(n.Pos(), 0) + r.base
}

func (r *reader) endOf(n ast.Node) int {
	if n.Type() == ast.TypeBlock && n.Lines().Len() > 0 {
		end := n.Lines().At(n.Lines().Len()-1).Stop + r.base
		for end > 0 && end <= len(r.file.Source) && (r.file.Source[end-1] == '\n' || r.file.Source[end-1] == '\r') {
			end--
		}
		return end
	}
	for c := n.LastChild(); c != nil; c = c.PreviousSibling() {
		if c.Type() == ast.TypeBlock {
			return r.endOf(c)
		}
	}
	return r.startOf(n)
}
