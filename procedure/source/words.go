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

// paragraphs adds the plain words of a block to those found: one paragraph for each
// paragraph, heading, table cell and block of code.
func (r *reader) paragraphs(n ast.Node) {
	switch n := n.(type) {
	case *ast.Paragraph, *ast.TextBlock, *ast.Heading, *extast.TableCell:
		q := r.plain(n)
		if q.Text == "" {
			return
		}
		r.undefinedLinks(n, q)
		r.found = append(r.found, q)
		return
	case *ast.HTMLBlock:
		r.found = append(r.found, procedure.Paragraph{
			Text:   strings.TrimSpace(string(htmlOf(n, r.src))),
			Pieces: []procedure.Piece{{Span: r.file.Span(r.startOf(n), r.endOf(n))}},
		})
		return
	case *ast.CodeBlock, *ast.FencedCodeBlock:
		if q := r.code(n); q.Text != "" {
			r.found = append(r.found, q)
		}
		return
	}
	for c := n.FirstChild(); c != nil; c = c.NextSibling() {
		if c.Type() == ast.TypeBlock {
			r.paragraphs(c)
		}
	}
}

// plain returns the words of a block with inline content, and where each came from.
func (r *reader) plain(n ast.Node) procedure.Paragraph {
	words := r.plainWords(n)
	return procedure.Paragraph{Text: words, Pieces: append([]procedure.Piece(nil), r.pieces...)}
}

// plainWords returns the words alone.
func (r *reader) plainWords(n ast.Node) string {
	r.words, r.pieces = r.words[:0], r.pieces[:0]
	r.addWords(n)
	return string(bytes.TrimRight(r.words, " "))
}

// addWords adds the words of a node to those of its block.
func (r *reader) addWords(n ast.Node) {
	switch n := n.(type) {
	case *ast.Text:
		value := n.Segment.Value(r.src)
		if !n.IsRaw() && bytes.ContainsAny(value, `\&`) {
			value = util.ResolveEntityNames(util.ResolveNumericReferences(util.UnescapePunctuations(value)))
		}
		r.addPiece(value, n.Segment)
		if n.SoftLineBreak() || n.HardLineBreak() {
			r.words = append(r.words, ' ')
		}
	case *ast.String:
		r.words = append(r.words, n.Value...)
	case *ast.AutoLink:
		r.words = append(r.words, n.Label(r.src)...)
	case *ast.RawHTML:
		if isComment(n.Segments.Value(r.src)) {
			break
		}
		for i := range n.Segments.Len() {
			segment := n.Segments.At(i)
			r.addPiece(segment.Value(r.src), segment)
		}
	}
	for c := n.FirstChild(); c != nil; c = c.NextSibling() {
		r.addWords(c)
	}
}

func (r *reader) addPiece(words []byte, segment gtext.Segment) {
	if len(words) > 0 {
		r.pieces = append(r.pieces, procedure.Piece{At: len(r.words), Span: r.segment(segment.Start, segment.Stop)})
		r.words = append(r.words, words...)
	}
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
	if !strings.Contains(q.Text, "][") {
		return // most texts have no such link
	}
	found := undefinedLink.FindAllStringIndex(q.Text, -1)
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
