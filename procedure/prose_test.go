package procedure

import (
	"slices"
	"testing"

	"matchmark/procedure/prose"
	"matchmark/procedure/text"
)

// at is a node of words with its place.
func at(start, end int, n prose.Node) prose.Node {
	n.Start, n.End = int32(start), int32(end)
	return n
}

func TestProse(t *testing.T) {
	src := "Undo `4`, see *[it](#look)*.\n    a\n\n      b\n"
	file := text.NewFile("a.md", []byte(src))
	p := Prose{Span: file.Span(0, len(src)), Nodes: []prose.Node{
		{Kind: prose.Paragraph, Inside: 8},
		at(0, 5, prose.Node{Kind: prose.Text, Text: "Undo "}),
		at(6, 7, prose.Node{Kind: prose.Mention, To: "4"}),
		at(8, 14, prose.Node{Kind: prose.Text, Text: ", see "}),
		{Kind: prose.Emphasis, Inside: 2},
		at(16, 18, prose.Node{Kind: prose.StepLink, To: "look", Text: "a title", Inside: 1}),
		at(16, 18, prose.Node{Kind: prose.Text, Text: "it"}),
		at(27, 28, prose.Node{Kind: prose.Text, Text: ". "}),
		{Kind: prose.SoftBreak},
		{Kind: prose.CodeBlock, Inside: 5},
		at(33, 34, prose.Node{Kind: prose.Text, Text: "a "}), {Kind: prose.SoftBreak}, {Kind: prose.SoftBreak},
		at(42, 43, prose.Node{Kind: prose.Text, Text: "  b"}), {Kind: prose.SoftBreak},
		{Kind: prose.Paragraph}, {Kind: prose.Rule},
	}}
	q := p.Paragraphs()
	if len(q) != 2 || q[0].Text != "Undo 4, see it." || q[1].Text != "a b" || p.Plain() != "Undo 4, see it. a b" {
		t.Errorf("paragraphs %+v, plain %q", q, p.Plain())
	}
	if got := q[0].SpanOf(5, 6).Text() + q[0].SpanOf(12, 14).Text() + q[1].SpanOf(2, 3).Text(); got != "4itb" {
		t.Errorf("the words are said to stand at %q", got)
	}
	if l, m := p.Links(), p.Mentions(); len(l) != 1 || l[0].ID != "look" || l[0].Span.Text() != "it" || len(m) != 1 || m[0].ID != "4" || m[0].Span.Text() != "4" {
		t.Errorf("links %+v, mentions %+v", l, m)
	}
	named := p.With(prose.Mention, func(n *prose.Node) { n.Text = "the bolt" })
	if got := named.Paragraphs()[0]; got.Text != "Undo the bolt, see it." || got.SpanOf(19, 21).Text() != "it" || got.SpanOf(5, 13).Text() != "4" {
		t.Errorf("with names: %+v", got)
	}
	if p.Plain() != "Undo 4, see it. a b" || named.Mentions()[0].ID != "4" {
		t.Error("naming a mention changed the prose that it is of")
	}
}

// A place that takes no paragraphs gets none.
func TestInline(t *testing.T) {
	word := func(s string) prose.Node { return prose.Node{Kind: prose.Text, Text: s} }
	for _, c := range []struct {
		name  string
		nodes []prose.Node
		want  []prose.Node
	}{
		{"nothing", nil, nil},
		{"an empty paragraph", []prose.Node{{Kind: prose.Paragraph}}, nil},
		{"a paragraph", []prose.Node{{Kind: prose.Paragraph, Inside: 2}, {Kind: prose.Strong, Inside: 1}, word("a")},
			[]prose.Node{{Kind: prose.Line, Inside: 2}, {Kind: prose.Strong, Inside: 1}, word("a")}},
		{"two paragraphs", []prose.Node{{Kind: prose.Paragraph, Inside: 1}, word("a"), {Kind: prose.Paragraph, Inside: 1}, word("b")},
			[]prose.Node{{Kind: prose.Line, Inside: 1}, word("a b")}},
		{"a list", []prose.Node{{Kind: prose.List, Inside: 3}, {Kind: prose.Item, Inside: 2}, {Kind: prose.Line, Inside: 1}, word("a")},
			[]prose.Node{{Kind: prose.Line, Inside: 1}, word("a")}},
		{"a heading", []prose.Node{{Kind: prose.Heading, Level: 1, Inside: 1}, word("a")}, []prose.Node{{Kind: prose.Line, Inside: 1}, word("a")}},
	} {
		if got := (Prose{Nodes: c.nodes}).Inline().Nodes; !slices.Equal(got, c.want) {
			t.Errorf("%s: %+v", c.name, got)
		}
	}
}
