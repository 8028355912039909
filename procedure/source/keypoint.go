package source

import (
	"github.com/yuin/goldmark/ast"

	"matchmark/procedure"
	"matchmark/procedure/say"
)

// A key point is a quotation that begins with bold words: they are the point, and the rest is the reason.

// isKeyPoint reports whether a quotation in a step is a key point.
func isKeyPoint(q *ast.Blockquote) bool { return pointOf(q) != nil }

// pointOf returns the bold words that a quotation begins with; nil for none.
func pointOf(q *ast.Blockquote) *ast.Emphasis {
	p, ok := q.FirstChild().(*ast.Paragraph)
	if !ok {
		return nil
	}
	if bold, ok := p.FirstChild().(*ast.Emphasis); ok && bold.Level == 2 {
		return bold
	}
	return nil
}

// keyPoint reads a key point.
func (r *reader) keyPoint(q *ast.Blockquote, common procedure.Common) *procedure.KeyPoint {
	bold := pointOf(q)
	common.Span = r.near(bold)
	words := ast.NewTextBlock()
	for bold.FirstChild() != nil {
		words.AppendChild(words, bold.FirstChild())
	}
	k := &procedure.KeyPoint{Common: common, Point: oneLine(r.plainWords(words))}
	first := q.FirstChild()
	first.RemoveChild(first, bold)
	// What parts the point from its reason belongs to neither.
	if t, ok := first.FirstChild().(*ast.Text); ok {
		if start, _ := trim(r.src, t.Segment.Start, t.Segment.Stop); start == t.Segment.Stop {
			first.RemoveChild(first, t)
		} else {
			t.Segment = t.Segment.WithStart(start)
		}
	}
	rest := fromOn(first)
	if !first.HasChildren() {
		rest = rest[1:]
	}
	if k.Reason = r.prose(rest); k.Reason.Empty() {
		r.report("missing-reason", common.Span, say.That("this key point has no reason"), say.That("Write it behind the bold words, in the same quotation."))
	}
	return k
}
