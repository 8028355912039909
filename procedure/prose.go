package procedure

import "matchmark/procedure/text"

// Prose is running text that an author wrote: paragraphs, lists, emphasis,
// links. Raw HTML of the author never gets into it.
type Prose struct {
	// Markup is a well-formed XHTML fragment, safe to put into a page unescaped.
	Markup string
	// Paragraphs are the same words without markup, for search, wording rules and plain-text sheets.
	Paragraphs []Paragraph
	// Links are the steps that the text links to, as [words](#step).
	Links []Ref
	// Mentions are the names in code marks, such as `hoist-on`, as written.
	Mentions []Ref
	Span     text.Span
}

// Paragraph is one paragraph or list item as plain text, with the places that its words came from.
type Paragraph struct {
	Text   string
	Pieces []Piece
}

// Piece says that the paragraph's text from byte At on stands at Span in the source.
type Piece struct {
	At   int
	Span text.Span
}

// Empty reports whether the author wrote nothing.
func (p Prose) Empty() bool { return p.Markup == "" }

// Plain returns the words of all paragraphs, joined by spaces.
func (p Prose) Plain() string {
	switch len(p.Paragraphs) {
	case 0:
		return ""
	case 1:
		return p.Paragraphs[0].Text
	}
	n := 0
	for _, q := range p.Paragraphs {
		n += len(q.Text) + 1
	}
	out := make([]byte, 0, n)
	for i, q := range p.Paragraphs {
		if i > 0 {
			out = append(out, ' ')
		}
		out = append(out, q.Text...)
	}
	return string(out)
}

// SpanOf returns the source place of the paragraph's bytes from start to end.
func (p Paragraph) SpanOf(start, end int) text.Span {
	var s text.Span
	for i, piece := range p.Pieces {
		next := len(p.Text)
		if i+1 < len(p.Pieces) {
			next = p.Pieces[i+1].At
		}
		if start >= next && i+1 < len(p.Pieces) {
			continue
		}
		from := min(piece.Span.Start+max(start-piece.At, 0), piece.Span.End)
		if !s.Valid() {
			s = text.Span{File: piece.Span.File, Start: from, End: from}
		}
		s.End = max(s.End, min(piece.Span.Start+min(end, next)-piece.At, piece.Span.End))
		if end <= next {
			break
		}
	}
	return s
}
