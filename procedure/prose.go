package procedure

import (
	"cmp"
	"slices"
	"strings"

	"matchmark/procedure/prose"
	"matchmark/procedure/text"
)

// Prose is running text that an author wrote: paragraphs, lists, emphasis,
// links. Raw HTML of the author is in it as words.
type Prose struct {
	// Nodes is the text as a tree. Prose that is handed on shares them: who changes one changes a copy.
	Nodes []prose.Node
	Span  text.Span
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

// Words makes prose of one paragraph of plain words that come from a place.
func Words(from text.Span, words string) Prose {
	if words == "" {
		return Prose{}
	}
	return Prose{Span: from, Nodes: []prose.Node{
		{Kind: prose.Paragraph, Inside: 1},
		{Kind: prose.Text, Text: words, Start: int32(from.Start), End: int32(from.End)},
	}}
}

// Empty reports whether the author wrote nothing.
func (p Prose) Empty() bool { return len(p.Nodes) == 0 }

// IsParagraph reports whether the prose is one paragraph.
func (p Prose) IsParagraph() bool {
	return len(p.Nodes) > 0 && p.Nodes[0].Kind <= prose.Line && int(p.Nodes[0].Inside) == len(p.Nodes)-1
}

// Inline returns the prose for a place that takes no paragraphs, such as a label: one
// paragraph without the space around it, of anything else the plain words.
func (p Prose) Inline() Prose {
	if !p.IsParagraph() {
		p = Words(p.Span, p.Plain())
	}
	if len(p.Nodes) < 2 {
		return Prose{Span: p.Span}
	}
	p.Nodes = slices.Clone(p.Nodes)
	p.Nodes[0].Kind = prose.Line
	return p
}

// Links are the steps that the text links to, as [words](#step).
func (p Prose) Links() []Ref { return p.refs(prose.StepLink) }

// Mentions are the names in code marks, such as `hoist-on`, as written.
func (p Prose) Mentions() []Ref { return p.refs(prose.Mention) }

// Values are the values of the bench that the text shows, such as `gap.value`.
func (p Prose) Values() []Ref { return p.refs(prose.Value) }

func (p Prose) refs(kind prose.Kind) []Ref {
	var out []Ref
	for i := range p.Nodes {
		if n := &p.Nodes[i]; n.Kind == kind {
			out = append(out, Ref{ID: n.To, Span: p.spanOf(n)})
		}
	}
	return out
}

// spanOf returns a node's place; the zero Span when it stands nowhere.
func (p Prose) spanOf(n *prose.Node) text.Span {
	if p.Span.File == nil || n.End == 0 {
		return text.Span{}
	}
	return text.Span{File: p.Span.File, Start: int(n.Start), End: int(n.End)}
}

// Has reports whether the prose holds a node of a kind.
func (p Prose) Has(kind prose.Kind) bool {
	return slices.ContainsFunc(p.Nodes, func(n prose.Node) bool { return n.Kind == kind })
}

// With returns the prose with its nodes of a kind changed.
func (p Prose) With(kind prose.Kind, change func(*prose.Node)) Prose {
	if !p.Has(kind) {
		return p
	}
	p.Nodes = slices.Clone(p.Nodes)
	for i := range p.Nodes {
		if n := &p.Nodes[i]; n.Kind == kind {
			change(n)
		}
	}
	return p
}

// Joined returns the prose with texts put together that follow each other: how many pieces a parser makes of one is of no account.
func (p Prose) Joined() Prose {
	p.Nodes = joined(p.Nodes)
	return p
}

func joined(nodes []prose.Node) (out []prose.Node) {
	for i := 0; i < len(nodes); {
		n := nodes[i]
		inside := joined(nodes[i+1 : i+1+int(n.Inside)])
		i += 1 + int(n.Inside)
		if last := len(out) - 1; n.Kind == prose.Text && last >= 0 && out[last].Kind == prose.Text {
			out[last].Text += n.Text
			continue
		}
		n.Inside = int32(len(inside))
		out = append(append(out, n), inside...)
	}
	return out
}

// Plain returns the words of all paragraphs, joined by spaces.
func (p Prose) Plain() string {
	if len(p.Nodes) == 2 && p.Nodes[0].Kind.HasLines() && p.Nodes[0].Kind != prose.CodeBlock && p.Nodes[1].Kind == prose.Text {
		return strings.TrimRight(strings.TrimLeft(p.Nodes[1].Text, " \t"), " ") // as most are
	}
	var all []string
	for _, q := range p.Paragraphs() {
		all = append(all, q.Text)
	}
	return strings.Join(all, " ")
}

// Paragraphs are the words without markup, for search, wording rules and
// plain-text sheets: one paragraph for each paragraph, heading, table cell and
// block of code that says something.
func (p Prose) Paragraphs() []Paragraph {
	var out []Paragraph
	for i := range p.Nodes {
		n := &p.Nodes[i]
		if !n.Kind.HasLines() {
			continue
		}
		inside, _ := prose.First(p.Nodes[i:])
		if q := p.paragraph(inside, n.Kind == prose.CodeBlock); q.Text != "" {
			out = append(out, q)
		}
	}
	return out
}

// paragraph returns the words of lines; those of code without what they are indented by, and without empty ones.
func (p Prose) paragraph(lines []prose.Node, code bool) Paragraph {
	size, count := 0, 0
	for i := range lines {
		size += max(len(lines[i].Text), len(lines[i].To)) + 1
		if lines[i].End > 0 {
			count++
		}
	}
	var all strings.Builder
	all.Grow(size)
	q := Paragraph{Pieces: make([]Piece, 0, count)}
	for i := range lines {
		n := &lines[i]
		words := n.Text
		switch n.Kind {
		case prose.SoftBreak, prose.HardBreak:
			if !code {
				all.WriteByte(' ')
			}
			continue
		case prose.Mention:
			words = cmp.Or(words, n.To)
		case prose.Value:
		case prose.Text:
			if i == 0 || lines[i-1].Kind == prose.SoftBreak {
				words = strings.TrimLeft(words, " \t")
			}
			if code {
				words = strings.TrimRight(words, " \t")
				if words != "" && all.Len() > 0 {
					all.WriteByte(' ')
				}
			}
		case prose.Code:
		default:
			continue
		}
		if words != "" && p.Span.File != nil && n.End > 0 {
			q.Pieces = append(q.Pieces, Piece{At: all.Len(), Span: p.spanOf(n)})
		}
		all.WriteString(words)
	}
	q.Text = strings.TrimRight(all.String(), " ")
	return q
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
