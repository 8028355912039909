package source

import (
	"bytes"
	"regexp"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/parser"
	gtext "github.com/yuin/goldmark/text"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/grammar"
	"matchmark/procedure/say"
)

// A step of the way back may be one list. An item is an act behind its box, a key point that begins with its bold words, words as
// they are, or a block: its opening line and a colon, "caution danger {about=4}: It tips." What a block lists stands below it, set in.

// pieceOpenings is the transformer that takes the opening of a block off the words of an item, so that these are read like any others.
type pieceOpenings struct{}

// Transform implements parser.ParagraphTransformer.
func (pieceOpenings) Transform(node *ast.Paragraph, reader gtext.Reader, pc parser.Context) {
	item, ok := node.Parent().(*ast.ListItem)
	if in, _ := pc.Get(placeKey).(grammar.Place); !ok || in != grammar.InRefit || !isLightContext(pc) || item.FirstChild() != ast.Node(node) {
		return
	}
	src, lines := reader.Source(), node.Lines()
	first := lines.At(0)
	n := openingOf(src[first.Start:first.Stop])
	boxed := bytes.HasSuffix(bytes.TrimRight(src[:first.Start], whitespace), []byte("]")) // "[ ] must: ..." and "[ ] decide stuck: ..." are tasks
	if n == 0 || boxed || !holdsPieces(src, item) {
		return
	}
	start, _ := trim(src, first.Start+n, first.Stop)
	if start == first.Stop && lines.Len() > 1 {
		lines.SetSliced(1, lines.Len()) // as for the act behind a box
		return
	}
	lines.Set(0, first.WithStart(start))
}

// holdsPieces reports whether an item stands in the list of a step, or of a variant in it.
func holdsPieces(src []byte, item *ast.ListItem) bool {
	for n := item.Parent(); n != nil; n = n.Parent() {
		switch n := n.(type) {
		case *ast.ListItem:
			start, end := pieceAt(src, n)
			if kind := kindOfLine(src[start:end]); kind == nil || kind.Name != "variant" && kind.Name != "only" {
				return false
			}
		case *fence, *ast.Blockquote:
			return false
		}
	}
	return true
}

// pieceForm is the opening line of a block and a colon, at the start of an item.
var pieceForm = regexp.MustCompile(`^([a-z][a-z-]*)(?:[ \t]+[a-z0-9][a-z0-9,-]*)?(?:[ \t]+"(?:[^"\\\n]|\\.)*")?(?:[ \t]*\{(?:[^"{}\n]|"(?:[^"\\\n]|\\.)*")*\})?[ \t]*:(?:[ \t\r\n]|$)`)

// openPiece is an item that begins like a block with a title or attributes, and whose colon is missing.
var openPiece = regexp.MustCompile(`^([a-z][a-z-]*)(?:[ \t]+[a-z0-9][a-z0-9,-]*)?[ \t]*["{]`)

// openingOf is the length of the opening that a text begins with, its colon included; 0 for none.
func openingOf(s []byte) int {
	if len(s) == 0 || s[0] < 'a' || s[0] > 'z' {
		return 0
	}
	found := pieceForm.FindSubmatchIndex(s)
	if found == nil || !namesPiece(string(s[found[2]:found[3]])) {
		return 0
	}
	return len(bytes.TrimRight(s[:found[1]], whitespace))
}

// namesPiece reports whether a word is a kind of block that stands in steps, or was likely meant as one.
func namesPiece(word string) bool {
	if kind := blockKind(word); kind != nil {
		return kind.AllowedIn(grammar.InStep)
	}
	return diagnostic.Nearest(word, stepBlockNames()) != ""
}

// stepBlockNames are the kinds of block that stand in steps.
func stepBlockNames() (out []string) {
	for i := range blockKinds {
		if blockKinds[i].AllowedIn(grammar.InStep) {
			out = append(out, blockKinds[i].Name)
		}
	}
	return out
}

// pieceAt bounds the opening of a block that an item begins with, without its colon; both are 0 for none.
func pieceAt(src []byte, item ast.Node) (start, end int) {
	first := item.FirstChild()
	if first == nil || first.Lines() == nil || first.Lines().Len() == 0 {
		return 0, 0
	}
	words := first.Lines().At(0).Start
	line := bytes.LastIndexByte(bytes.TrimRight(src[:words], whitespace), '\n') + 1
	start, _ = trim(src, line, words)
	for n := marker(src[start:words]); n > 0; n = marker(src[start:words]) {
		start, _ = trim(src, start+n, words)
	}
	n := openingOf(src[start:words])
	if n == 0 {
		return 0, 0
	}
	return trim(src, start, start+n-1)
}

// layOut puts in place of a step's list what its items are, where one of them is no plain item.
func (r *reader) layOut(step ast.Node) {
	for n := step.FirstChild(); n != nil; {
		next := n.NextSibling()
		if list, ok := n.(*ast.List); ok && !list.IsOrdered() && r.isPieces(list) {
			var tasks *ast.List
			for i := list.FirstChild(); i != nil; i = list.FirstChild() {
				if !r.isTask(i) {
					tasks = nil
					list.RemoveChild(list, i)
					for _, piece := range r.piece(i) {
						step.InsertBefore(step, list, piece)
					}
					continue
				}
				if tasks == nil {
					tasks = ast.NewList(list.Marker)
					tasks.IsTight = true
					step.InsertBefore(step, list, tasks)
				}
				tasks.AppendChild(tasks, i)
			}
			step.RemoveChild(step, list)
		}
		n = next
	}
}

// isPieces reports whether a list is a whole step: a block or a key point is in it, or words between acts.
func (r *reader) isPieces(list *ast.List) bool {
	tasks, words := false, false
	for i := list.FirstChild(); i != nil; i = i.NextSibling() {
		if _, end := pieceAt(r.src, i); end > 0 || boldFirst(i) {
			return true
		}
		if r.isTask(i) {
			tasks = true
		} else {
			words = words || !r.actItem(i)
		}
	}
	return tasks && words
}

// actItem reports whether an item without a box reads like an act.
func (r *reader) actItem(item ast.Node) bool {
	first := item.FirstChild()
	if first == nil || first.Lines() == nil || first.Lines().Len() == 0 {
		return true
	}
	line := first.Lines().At(0)
	return actIn(bytes.TrimSpace(r.src[line.Start:line.Stop])).act != ""
}

// boldFirst reports whether an item begins with bold words.
func boldFirst(item ast.Node) bool {
	if first := item.FirstChild(); first != nil {
		bold, ok := first.FirstChild().(*ast.Emphasis)
		return ok && bold.Level == 2
	}
	return false
}

// piece returns what an item is: a block, a key point, or words.
func (r *reader) piece(item ast.Node) []ast.Node {
	start, end := pieceAt(r.src, item)
	point := boldFirst(item)
	inside := paragraphs(item)
	switch {
	case end > 0:
		f := &fence{colons: 3, start: start, infoStart: start, infoEnd: end, closed: true, closer: -1}
		return []ast.Node{within(f, inside)}
	case point:
		return []ast.Node{within(ast.NewBlockquote(), inside)}
	}
	if len(inside) > 0 {
		r.lostColon(inside[0])
	}
	return inside
}

// lostColon reports an item that begins like a block and has no colon.
func (r *reader) lostColon(n ast.Node) {
	if n.Lines() == nil || n.Lines().Len() == 0 {
		return
	}
	line := n.Lines().At(0)
	start, end := trim(r.src, line.Start, line.Stop)
	if found := openPiece.FindSubmatch(r.src[start:end]); found != nil && blockKind(string(found[1])) != nil {
		r.report("fence-syntax", r.segment(start, end), say.That("this item begins like a block %kind and has no colon behind it", say.Quote(string(found[1]))),
			say.That(`Write a colon behind its title and attributes: - hold "Before the lift" {signature=trainer}:`))
	}
}

func within(parent ast.Node, inside []ast.Node) ast.Node {
	for _, n := range inside {
		parent.AppendChild(parent, n)
	}
	return parent
}

// paragraphs takes what stands in an item out of it; words are paragraphs, as they are outside of lists.
func paragraphs(item ast.Node) (out []ast.Node) {
	for n := item.FirstChild(); n != nil; n = item.FirstChild() {
		item.RemoveChild(item, n)
		t, ok := n.(*ast.TextBlock)
		if !ok {
			if n.Kind() != ast.KindParagraph || n.HasChildren() {
				out = append(out, n)
			}
			continue
		}
		if !t.HasChildren() {
			continue
		}
		p := ast.NewParagraph()
		p.SetLines(t.Lines())
		for t.FirstChild() != nil {
			p.AppendChild(p, t.FirstChild())
		}
		out = append(out, p)
	}
	return out
}
