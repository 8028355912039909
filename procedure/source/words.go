package source

import (
	"bytes"
	"regexp"
	"slices"

	"github.com/yuin/goldmark/ast"
	extast "github.com/yuin/goldmark/extension/ast"
	"github.com/yuin/goldmark/util"

	"matchmark/procedure"
	"matchmark/procedure/text"
)

// plainProse is the plain text of a piece of prose while it is put together.
type plainProse struct {
	// words and pieces are those of all paragraphs.
	words  []byte
	pieces []procedure.Piece
	// ends say where each paragraph ends; the first one is the start of all.
	ends []ending
}

// ending is where a paragraph ends in the words and the pieces.
type ending struct{ words, pieces int }

func (p *plainProse) reset() {
	p.words, p.pieces, p.ends = p.words[:0], p.pieces[:0], append(p.ends[:0], ending{})
}

// start is where the paragraph that is read starts.
func (p *plainProse) start() ending { return p.ends[len(p.ends)-1] }

// add adds words that stand in the source as they are, or nearly.
func (p *plainProse) add(words []byte, from text.Span) {
	if len(words) > 0 {
		p.pieces = append(p.pieces, procedure.Piece{At: len(p.words) - p.start().words, Span: from})
		p.words = append(p.words, words...)
	}
}

// end ends a paragraph; ok is false when it says nothing, and is none.
func (p *plainProse) end() (ok bool) {
	start := p.start()
	p.words = p.words[:start.words+len(bytes.TrimRight(p.words[start.words:], " "))]
	if len(p.words) == start.words {
		p.pieces = p.pieces[:start.pieces]
		return false
	}
	p.ends = append(p.ends, ending{len(p.words), len(p.pieces)})
	return true
}

// paragraphs returns the paragraphs but for the first ones, so many as skip says.
func (p *plainProse) paragraphs(skip int) []procedure.Paragraph {
	first, ends := p.ends[skip], p.ends[skip+1:]
	if len(ends) == 0 {
		return nil
	}
	words, pieces := string(p.words[first.words:]), slices.Clone(p.pieces[first.pieces:])
	out := make([]procedure.Paragraph, len(ends))
	for i, e := range ends {
		n, k := e.words-first.words, e.pieces-first.pieces
		out[i] = procedure.Paragraph{Text: words[:n], Pieces: pieces[:k:k]}
		words, pieces, first = words[n:], pieces[k:], e
	}
	return out
}

// addParagraphs adds the plain words of a block: one paragraph for each
// paragraph, heading, table cell and block of code.
func (r *reader) addParagraphs(n ast.Node) {
	switch n := n.(type) {
	case *ast.Paragraph, *ast.TextBlock, *ast.Heading, *extast.TableCell:
		start := r.plain.start()
		r.addWords(n)
		if r.plain.end() && bytes.Contains(r.plain.words[start.words:], []byte("][")) {
			r.undefinedLinks(n, r.plain.paragraphs(len(r.plain.ends) - 2)[0])
		}
		return
	case *ast.HTMLBlock:
		r.plain.add(bytes.TrimSpace(htmlOf(n, r.src)), r.file.Span(r.startOf(n), r.endOf(n)))
		r.plain.end()
		return
	case *ast.CodeBlock, *ast.FencedCodeBlock:
		r.addCode(n)
		r.plain.end()
		return
	}
	for c := n.FirstChild(); c != nil; c = c.NextSibling() {
		if c.Type() == ast.TypeBlock {
			r.addParagraphs(c)
		}
	}
}

// plainWords returns the words of a block with inline content, outside of any prose.
func (r *reader) plainWords(n ast.Node) string {
	r.plain.reset()
	r.addWords(n)
	return string(bytes.TrimRight(r.plain.words, " "))
}

// addWords adds the words of a node, and where each came from.
func (r *reader) addWords(n ast.Node) {
	switch n := n.(type) {
	case *ast.Text:
		value := n.Segment.Value(r.src)
		if !n.IsRaw() && bytes.ContainsAny(value, `\&`) {
			value = util.ResolveEntityNames(util.ResolveNumericReferences(util.UnescapePunctuations(value)))
		}
		r.plain.add(value, r.segment(n.Segment.Start, n.Segment.Stop))
		if n.SoftLineBreak() || n.HardLineBreak() {
			r.plain.words = append(r.plain.words, ' ')
		}
	case *ast.String:
		r.plain.words = append(r.plain.words, n.Value...)
	case *ast.AutoLink:
		r.plain.words = append(r.plain.words, n.Label(r.src)...)
	case *ast.RawHTML:
		if isComment(n.Segments.Value(r.src)) {
			break
		}
		for i := range n.Segments.Len() {
			segment := n.Segments.At(i)
			r.plain.add(segment.Value(r.src), r.segment(segment.Start, segment.Stop))
		}
	}
	for c := n.FirstChild(); c != nil; c = c.NextSibling() {
		r.addWords(c)
	}
}

// addCode adds the lines of a block of code.
func (r *reader) addCode(n ast.Node) {
	for i := range n.Lines().Len() {
		line := n.Lines().At(i)
		words := bytes.TrimSpace(line.Value(r.src))
		if len(words) == 0 {
			continue
		}
		if len(r.plain.words) > r.plain.start().words {
			r.plain.words = append(r.plain.words, ' ')
		}
		from, to := trim(r.src, line.Start, line.Stop)
		r.plain.add(words, r.segment(from, to))
	}
}

var undefinedLink = regexp.MustCompile(`\[[^\[\]]+\]\[[^\[\]]*\]`)

// undefinedLinks reports reference links without a target: Markdown leaves their square brackets in the text.
func (r *reader) undefinedLinks(n ast.Node, q procedure.Paragraph) {
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
