package source

import (
	"bytes"
	"regexp"
	"slices"
	"strings"

	"github.com/yuin/goldmark/ast"
	extast "github.com/yuin/goldmark/extension/ast"
	gtext "github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"

	"matchmark/procedure"
	"matchmark/procedure/text"
)

// paragraphs adds the plain words of a block: one paragraph for each paragraph,
// heading, table cell and block of code.
func (r *reader) paragraphs(n ast.Node, p *procedure.Prose) {
	switch n := n.(type) {
	case *ast.Paragraph, *ast.TextBlock, *ast.Heading, *extast.TableCell:
		q := r.plain(n)
		if q.Text == "" {
			return
		}
		r.undefinedLinks(n, q)
		p.Paragraphs = append(p.Paragraphs, q)
		return
	case *ast.HTMLBlock:
		p.Paragraphs = append(p.Paragraphs, procedure.Paragraph{
			Text:   strings.TrimSpace(string(htmlOf(n, r.src))),
			Pieces: []procedure.Piece{{Span: r.file.Span(r.startOf(n), r.endOf(n))}},
		})
		return
	case *ast.CodeBlock, *ast.FencedCodeBlock:
		if q := r.code(n); q.Text != "" {
			p.Paragraphs = append(p.Paragraphs, q)
		}
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
	add := func(words []byte, segment gtext.Segment) {
		if len(words) > 0 {
			q.Pieces = append(q.Pieces, procedure.Piece{At: b.Len(), Span: r.segment(segment.Start, segment.Stop)})
			b.Write(words)
		}
	}
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
			add(value, c.Segment)
			if c.SoftLineBreak() || c.HardLineBreak() {
				b.WriteByte(' ')
			}
		case *ast.String:
			b.Write(c.Value)
		case *ast.AutoLink:
			b.Write(c.Label(r.src))
		case *ast.RawHTML:
			if isComment(c.Segments.Value(r.src)) {
				break
			}
			for i := range c.Segments.Len() {
				segment := c.Segments.At(i)
				add(segment.Value(r.src), segment)
			}
		}
		return ast.WalkContinue, nil
	})
	q.Text = strings.TrimRight(b.String(), " ")
	return q
}

// code returns the lines of a block of code, and where each came from.
func (r *reader) code(n ast.Node) procedure.Paragraph {
	var b strings.Builder
	var q procedure.Paragraph
	for i := range n.Lines().Len() {
		line := n.Lines().At(i)
		words := bytes.TrimSpace(line.Value(r.src))
		if len(words) == 0 {
			continue
		}
		if b.Len() > 0 {
			b.WriteByte(' ')
		}
		from, to := trim(r.src, line.Start, line.Stop)
		q.Pieces = append(q.Pieces, procedure.Piece{At: b.Len(), Span: r.segment(from, to)})
		b.Write(words)
	}
	q.Text = b.String()
	return q
}

var undefinedLink = regexp.MustCompile(`\[[^\[\]]+\]\[[^\[\]]*\]`)

// undefinedLinks reports reference links without a target: Markdown leaves their square brackets in the text.
func (r *reader) undefinedLinks(n ast.Node, q procedure.Paragraph) {
	found := undefinedLink.FindAllStringIndex(q.Text, -1)
	if len(found) == 0 {
		return
	}
	// What stands in code marks is no link.
	var code []text.Span
	_ = ast.Walk(n, func(c ast.Node, entering bool) (ast.WalkStatus, error) {
		if t, ok := c.(*ast.Text); ok && entering && c.Parent().Kind() == ast.KindCodeSpan {
			code = append(code, r.segment(t.Segment.Start, t.Segment.Stop))
		}
		return ast.WalkContinue, nil
	})
	for _, at := range found {
		span := q.SpanOf(at[0], at[1])
		if slices.ContainsFunc(code, func(c text.Span) bool { return c.Start <= span.Start && span.Start < c.End }) {
			continue
		}
		r.report("undefined-link", span, "the link "+q.Text[at[0]:at[1]]+" has no target",
			"Write [words](#step) for a step, or define the link's target.")
	}
}
