package source

import (
	"bytes"
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	extast "github.com/yuin/goldmark/extension/ast"
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
			_, _ = w.WriteString("<p>")
			_, _ = w.Write(util.EscapeHTML(htmlOf(n.(*ast.HTMLBlock), source)))
			_, _ = w.WriteString("</p>\n")
		}
		return ast.WalkContinue, nil
	})
	reg.Register(kindFence, func(util.BufWriter, []byte, ast.Node, bool) (ast.WalkStatus, error) {
		return ast.WalkSkipChildren, nil // Reported: a block inside a list or a quotation is on no page.
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

// prose turns blocks of Markdown into prose and reports what prose may not hold.
func (r *reader) prose(nodes []ast.Node) procedure.Prose {
	var p procedure.Prose
	if len(nodes) == 0 {
		return p
	}
	r.markup.Reset()
	r.plain.reset()
	for _, n := range nodes {
		if r.silent(n) {
			continue
		}
		r.checkProse(n, &p)
		// The buffer takes every write and the renderers return no errors of their own.
		_ = r.md.Renderer().Render(&r.markup, r.src, n)
		r.addParagraphs(n)
	}
	p.Markup = strings.ReplaceAll(string(bytes.TrimSpace(r.markup.Bytes())), "\r", "")
	p.Paragraphs = r.plain.paragraphs(0)
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

// silent reports whether a block is a comment or the definition of a link's target: neither shows on any page.
func (r *reader) silent(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.HTMLBlock:
		return isComment(htmlOf(n, r.src))
	case *ast.LinkReferenceDefinition:
		return true
	}
	return false
}

// htmlOf returns the whole text of an HTML block; goldmark keeps its last line apart.
func htmlOf(b *ast.HTMLBlock, source []byte) []byte {
	html := b.Lines().Value(source)
	if b.HasClosure() {
		html = append(html[:len(html):len(html)], b.ClosureLine.Value(source)...)
	}
	return html
}

// checkProse reports what prose may not hold and notes its links and mentions.
func (r *reader) checkProse(n ast.Node, p *procedure.Prose) {
	switch n := n.(type) {
	case *fence:
		r.report("misplaced-block", r.fenceSpan(n), "a block cannot stand inside a list or a quotation",
			"Start the line with the colons at the left margin, after an empty line.")
		return
	case *ast.Paragraph, *ast.TextBlock, *ast.CodeBlock:
		r.lostFence(n)
	case *ast.HTMLBlock:
		r.report("raw-html", r.segment(r.startOf(n)-r.base, r.endOf(n)-r.base), "HTML is not passed through; it is shown as text",
			"Write it in Markdown.")
	case *ast.RawHTML:
		if isComment(n.Segments.Value(r.src)) {
			break
		}
		seg := n.Segments.At(0)
		seg.Start, seg.Stop = trim(r.src, seg.Start, seg.Stop)
		r.report("raw-html", r.segment(seg.Start, seg.Stop), "HTML is not passed through; it is shown as text",
			"Write it in Markdown, or put code marks (`) around it.")
	case *extast.TableRow:
		r.extraCell(n)
	case *ast.Image:
		r.report("picture-in-text", r.near(n), "a picture cannot stand in running text",
			"Define a figure block and show it with {figure=name}.")
	case *ast.Link:
		r.checkLink(n, p)
	case *ast.CodeSpan:
		if t, ok := n.FirstChild().(*ast.Text); ok && n.ChildCount() == 1 {
			if id := string(t.Segment.Value(r.src)); isName(id) {
				p.Mentions = append(p.Mentions, procedure.Ref{ID: id, Span: r.segment(t.Segment.Start, t.Segment.Stop)})
			}
		}
	}
	for c := n.FirstChild(); c != nil; c = c.NextSibling() {
		r.checkProse(c, p)
	}
}

func (r *reader) checkLink(c *ast.Link, p *procedure.Prose) {
	if c.Reference != nil {
		r.used[util.ToLinkReference(c.Reference.Value)] = true
	}
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

// unusedLinks reports definitions that no link uses: Markdown drops them without a word.
func (r *reader) unusedLinks(doc ast.Node) {
	_ = ast.Walk(doc, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		d, ok := n.(*ast.LinkReferenceDefinition)
		if ok && entering && !r.used[util.ToLinkReference(d.Label)] {
			r.report("unused-link", r.spanOf(d), "no link uses this target",
				"Write [words]["+strings.Join(strings.Fields(string(d.Label)), " ")+"] where it belongs, or take the line out.")
		}
		return ast.WalkContinue, nil
	})
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
	return r.spanOf(n)
}

// segment turns a range of the parsed text into a place in the file.
func (r *reader) segment(start, stop int) text.Span {
	return r.file.Span(start+r.base, stop+r.base)
}

// spanOf returns the place of a block's own text, from its first line to its last.
func (r *reader) spanOf(n ast.Node) text.Span {
	return text.Span{File: r.file, Start: r.startOf(n), End: r.endOf(n)}
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

// endOf returns the file offset where a block's own text ends.
func (r *reader) endOf(n ast.Node) int {
	if n.Type() == ast.TypeBlock && n.Lines().Len() > 0 {
		start, end := r.startOf(n), n.Lines().At(n.Lines().Len()-1).Stop+r.base
		for end > start && end <= len(r.file.Source) && (r.file.Source[end-1] == '\n' || r.file.Source[end-1] == '\r') {
			end--
		}
		return end
	}
	// A row that is too short ends in cells that stand nowhere: the furthest end counts.
	end := r.startOf(n)
	for c := n.FirstChild(); c != nil; c = c.NextSibling() {
		if c.Type() == ast.TypeBlock {
			end = max(end, r.endOf(c))
		}
	}
	return end
}
