package source

import (
	"bytes"
	"cmp"
	"slices"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/parser"
	gtext "github.com/yuin/goldmark/text"

	"matchmark/procedure/grammar"
	"matchmark/procedure/say"
)

const (
	commentStart = "<!--"
	commentEnd   = "-->"
)

// parse parses the file's Markdown. A comment that is not closed would take in all
// that follows, up to the end of the next comment: it is reported, and what follows is read.
func (r *reader) parse(in grammar.Place) ast.Node {
	r.light = isLight(r.src, in)
	doc := r.md.Parser().Parse(gtext.NewReader(r.src), parser.WithContext(contextOf(in, r.light)))
	open := openComments(r.src)
	if len(open) == 0 {
		return doc
	}
	code := codeIn(doc)
	open = slices.DeleteFunc(open, func(at int) bool {
		i, _ := slices.BinarySearchFunc(code, at, func(s gtext.Segment, at int) int { return cmp.Compare(s.Stop, at+1) })
		return i < len(code) && code[i].Start <= at
	})
	if len(open) == 0 {
		return doc
	}
	src := bytes.Clone(r.src)
	for i, at := range open {
		if i > 0 && !bytes.Contains(src[open[i-1]:at], []byte("\n")) {
			hide(src, at)
			continue // one message a line
		}
		r.report("unclosed-comment", r.segment(at, at+len(commentStart)), say.That("this comment is not closed"), say.That("Close it with -->."))
		hide(src, at)
	}
	r.src = src
	return r.md.Parser().Parse(gtext.NewReader(r.src), parser.WithContext(contextOf(in, r.light)))
}

// openComments returns where comments start that do not end before the next one starts.
func openComments(src []byte) (open []int) {
	find := func(mark string, from int) int {
		if i := bytes.Index(src[from:], []byte(mark)); i >= 0 {
			return from + i
		}
		return len(src)
	}
	end := 0
	for at := find(commentStart, 0); at < len(src); {
		body := at + len(commentStart)
		next := find(commentStart, body)
		if end < body {
			end = find(commentEnd, body)
		}
		if end >= next {
			open = append(open, at)
		}
		at = next
	}
	return open
}

// hide puts spaces over a comment that is not closed. One that starts its line
// reaches to the end of its paragraph, or to a line that starts a block, a list item
// or a table's row; of one behind other words only the mark is taken, since the words may count.
func hide(src []byte, at int) {
	start := bytes.LastIndexByte(src[:at], '\n') + 1
	if !blank(src[start:at]) {
		blankOut(src[at : at+len(commentStart)])
		return
	}
	for {
		line := lineFrom(src, at)
		blankOut(line)
		at += len(line) + 1
		if at >= len(src) {
			return
		}
		if next := bytes.TrimLeft(lineFrom(src, at), " \t"); blank(next) || bytes.ContainsAny(next[:1], ":|-*+#><`0123456789") {
			return
		}
	}
}

func blankOut(line []byte) {
	for i := range line {
		if line[i] != '\r' {
			line[i] = ' '
		}
	}
}

// codeIn lists what the document shows as it stands.
func codeIn(doc ast.Node) (out []gtext.Segment) {
	_ = ast.Walk(doc, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if !entering {
			return ast.WalkContinue, nil
		}
		switch n := n.(type) {
		case *ast.CodeBlock, *ast.FencedCodeBlock:
			for i := range n.Lines().Len() {
				out = append(out, n.Lines().At(i))
			}
		case *ast.CodeSpan:
			for c := n.FirstChild(); c != nil; c = c.NextSibling() {
				if t, ok := c.(*ast.Text); ok {
					out = append(out, t.Segment)
				}
			}
		}
		return ast.WalkContinue, nil
	})
	slices.SortFunc(out, func(a, b gtext.Segment) int { return cmp.Compare(a.Start, b.Start) })
	return out
}
