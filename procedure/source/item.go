package source

import (
	"strings"
	"unicode/utf8"

	"github.com/yuin/goldmark/ast"

	"matchmark/procedure"
	"matchmark/procedure/grammar"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// items returns the items of a block that holds one list, and reports anything else in it.
func (r *reader) items(b *block) []*ast.ListItem {
	var out []*ast.ListItem
	r.eachBlock(b.node, grammar.Place(b.kind.Name), func(n ast.Node) {
		list, ok := n.(*ast.List)
		if !ok {
			do := say.That("Start the line with a hyphen and a space, or move the text out of the block.")
			if strings.HasPrefix(r.spanOf(n).Text(), "-\u00a0") {
				do = say.That("Type the space behind the hyphen anew: it is a non-breaking one.")
			}
			r.report("list-only", r.spanOf(n), say.That("a block %kind holds a list and nothing else", say.Quote(b.kind.Name)), do)
			return
		}
		for i := list.FirstChild(); i != nil; i = i.NextSibling() {
			if item, ok := i.(*ast.ListItem); ok {
				if kind := procedure.KindOf(b.kind.Name); kind == nil || !kind.HasActions() {
					r.strayBox(item)
				}
				out = append(out, item)
			}
		}
	}, func(*block) {})
	return out
}

// head takes a list item apart at its first ": ": the plain words before it with
// their place, and what follows as prose, further paragraphs of the item included.
func (r *reader) head(item *ast.ListItem) (head string, span text.Span, tail procedure.Prose) {
	first := item.FirstChild()
	if first == nil {
		return "", r.spanOf(item), tail
	}
	start := r.startOf(first) - r.base
	for c := first.FirstChild(); c != nil; c = c.NextSibling() {
		t, ok := c.(*ast.Text)
		if !ok {
			continue
		}
		at := colonAt(t.Segment.Value(r.src))
		if at < 0 {
			continue
		}
		colon := t.Segment.Start + at
		// The head moves out of the tree: what is left of the item is the reason.
		lead := ast.NewTextBlock()
		for first.FirstChild() != c {
			lead.AppendChild(lead, first.FirstChild())
		}
		lead.AppendChild(lead, ast.NewTextSegment(t.Segment.WithStop(colon)))
		from, _ := trim(r.src, colon+1, t.Segment.Stop)
		t.Segment = t.Segment.WithStart(from)
		from, to := trim(r.src, start, colon)
		return oneLine(r.plainWords(lead)), r.segment(from, to), r.inlineProse(fromOn(first))
	}
	if next := first.NextSibling(); next != nil {
		tail = r.inlineProse(fromOn(next))
	}
	return oneLine(r.plainWords(first)), r.file.Span(start+r.base, r.endOf(first)), tail
}

// fromOn returns a node and its siblings after it.
func fromOn(n ast.Node) []ast.Node {
	var out []ast.Node
	for ; n != nil; n = n.NextSibling() {
		out = append(out, n)
	}
	return out
}

// oneLine joins words that an author wrapped over several lines.
func oneLine(s string) string {
	between := true // at the start, or behind a space
	for i := range len(s) {
		space := s[i] == ' '
		if space && between || s[i] < ' ' || s[i] >= utf8.RuneSelf {
			return strings.Join(strings.Fields(s), " ")
		}
		between = space
	}
	return strings.TrimSuffix(s, " ")
}

// colonAt returns the offset of the colon that ends an item's head: one with white
// space or the line's end behind it.
func colonAt(s []byte) int {
	for i, c := range s {
		if c == ':' && (i+1 == len(s) || s[i+1] == ' ' || s[i+1] == '\t') {
			return i
		}
	}
	return -1
}
