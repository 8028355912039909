package source

import (
	"bytes"
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	extast "github.com/yuin/goldmark/extension/ast"
	"github.com/yuin/goldmark/util"

	"matchmark/procedure"
	"matchmark/procedure/prose"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// newMarkdown returns the dialect's Markdown: CommonMark, tables and colon fences.
func newMarkdown() goldmark.Markdown {
	return goldmark.New(goldmark.WithExtensions(extension.Table, fences{}))
}

// prose turns blocks of Markdown into prose and reports what prose may not hold.
func (r *reader) prose(nodes []ast.Node) procedure.Prose {
	if len(nodes) == 0 {
		return procedure.Prose{}
	}
	for _, n := range nodes {
		r.checkProse(n)
	}
	first, last := nodes[0], nodes[len(nodes)-1]
	return procedure.Prose{Nodes: r.tree(nodes...), Span: text.Span{File: r.file, Start: r.startOf(first), End: r.endOf(last)}}
}

// inlineProse is prose without the paragraph around it, for list items.
func (r *reader) inlineProse(nodes []ast.Node) procedure.Prose {
	p := r.prose(nodes)
	if p.IsParagraph() {
		p = p.Inline()
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
		html := n.Lines().Value(r.src)
		if n.HasClosure() { // goldmark keeps the last line apart
			html = append(html[:len(html):len(html)], n.ClosureLine.Value(r.src)...)
		}
		return isComment(html)
	case *ast.LinkReferenceDefinition:
		return true
	}
	return false
}

// checkProse reports what prose may not hold, and notes the definitions that its links use.
func (r *reader) checkProse(n ast.Node) {
	switch n := n.(type) {
	case *fence:
		r.report("misplaced-block", r.fenceSpan(n), say.That("a block cannot stand inside a list or a quotation"),
			say.That("Start the line with the colons at the left margin, after an empty line."))
		return
	case *ast.Paragraph, *ast.TextBlock:
		r.lostFence(n)
		r.lostActs(n)
		r.lostCaution(n)
		r.lostHeading(n)
		r.undefinedLinks(n)
	case *ast.Heading, *extast.TableCell:
		r.lostActs(n)
		r.undefinedLinks(n)
	case *ast.CodeBlock:
		r.lostFence(n)
		r.lostActs(n)
	case *ast.FencedCodeBlock:
		r.lostActs(n)
	case *ast.HTMLBlock:
		if r.silent(n) {
			return
		}
		r.report("raw-html", r.segment(r.startOf(n)-r.base, r.endOf(n)-r.base), say.That("HTML is not passed through; it is shown as text"),
			say.That("Write it in Markdown."))
	case *ast.RawHTML:
		if isComment(n.Segments.Value(r.src)) {
			break
		}
		seg := n.Segments.At(0)
		seg.Start, seg.Stop = trim(r.src, seg.Start, seg.Stop)
		r.report("raw-html", r.segment(seg.Start, seg.Stop), say.That("HTML is not passed through; it is shown as text"),
			say.That("Write it in Markdown, or put code marks (`) around it."))
	case *ast.ListItem:
		r.strayBox(n)
	case *extast.TableRow:
		r.extraCell(n)
		r.lostRow(n)
	case *ast.Image:
		r.report("picture-in-text", r.near(n), say.That("a picture cannot stand in running text"),
			say.That("Define a figure block and show it with {figure=name}."))
	case *ast.Link:
		r.checkLink(n)
	}
	for c := n.FirstChild(); c != nil; c = c.NextSibling() {
		r.checkProse(c)
	}
}

func (r *reader) checkLink(c *ast.Link) {
	if c.Reference != nil {
		r.used[util.ToLinkReference(c.Reference.Value)] = true
	}
	if kind, _ := linkTo(c); kind == prose.WebLink && !isWeb(c.Destination) {
		r.report("link-target", r.near(c), say.That("the link's target %target is neither a step nor a web address", say.Quote(c.Destination)),
			say.That("Write (#step-name) for a step, or an address that starts with https://."))
	}
}

// unusedLinks reports definitions that no link uses: Markdown drops them without a word.
func (r *reader) unusedLinks(doc ast.Node) {
	_ = ast.Walk(doc, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		d, ok := n.(*ast.LinkReferenceDefinition)
		if ok && entering && !r.used[util.ToLinkReference(d.Label)] {
			r.report("unused-link", r.spanOf(d), say.That("no link uses this target"),
				say.That("Write [words][%label] where it belongs, or take the line out.", say.Name(strings.Join(strings.Fields(string(d.Label)), " "))))
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
