package source

import (
	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/parser"
	gtext "github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"
)

// deepestNesting bounds open fences inside one another. Real procedures use three.
const deepestNesting = 16

var kindFence = ast.NewNodeKind("ColonFence")

// fence is a colon-fenced container in goldmark's tree. Offsets count from the start of the parsed text.
type fence struct {
	ast.BaseBlock
	colons int
	// infoStart and infoEnd bound what follows the colons on the opening line; start is the first colon.
	start, infoStart, infoEnd int
	closed                    bool
	// closer is the closing line of an outer block that ended this one, when it was not closed itself.
	closer int
	// tooDeep is set when the block is nested deeper than the dialect allows.
	tooDeep bool
}

// Kind implements ast.Node.
func (f *fence) Kind() ast.NodeKind { return kindFence }

// Dump implements ast.Node.
func (f *fence) Dump(source []byte, level int) { ast.DumpHelper(f, source, level, nil, nil) }

// fences is the goldmark extension that reads colon-fenced containers.
type fences struct{}

// Extend implements goldmark.Extender.
func (fences) Extend(m goldmark.Markdown) {
	// Before all built-in block parsers but after none: a line of colons starts nothing else in CommonMark.
	m.Parser().AddOptions(parser.WithBlockParsers(util.Prioritized(fenceParser{}, 50)))
}

type fenceParser struct{}

func (fenceParser) Trigger() []byte { return []byte{':'} }

func (fenceParser) CanInterruptParagraph() bool { return true }

func (fenceParser) CanAcceptIndentedLine() bool { return false }

func (fenceParser) Open(_ ast.Node, reader gtext.Reader, pc parser.Context) (ast.Node, parser.State) {
	line, segment := reader.PeekLine()
	pos := pc.BlockOffset()
	if pos < 0 {
		return nil, parser.NoChildren
	}
	colons := countColons(line[pos:])
	if colons < 3 {
		return nil, parser.NoChildren
	}
	infoStart, infoEnd := trim(line, pos+colons, len(line))
	if infoStart == infoEnd {
		// A closing line that closes nothing stays in the tree, so that it can be reported in place.
		reader.AdvanceToEOL()
		return &fence{closed: true, colons: colons, start: segment.Start + pos, infoStart: -1}, parser.NoChildren
	}
	f := &fence{
		colons: colons,
		start:  segment.Start + pos, infoStart: segment.Start + infoStart, infoEnd: segment.Start + infoEnd,
		closer: -1,
	}
	depth := 0
	for _, b := range pc.OpenedBlocks() {
		if _, ok := b.Node.(*fence); ok {
			depth++
		}
	}
	f.tooDeep = depth >= deepestNesting
	reader.AdvanceToEOL()
	if f.tooDeep {
		return f, parser.NoChildren
	}
	return f, parser.HasChildren
}

func (fenceParser) Continue(node ast.Node, reader gtext.Reader, pc parser.Context) parser.State {
	f := node.(*fence)
	if f.infoStart < 0 || f.tooDeep {
		return parser.Close
	}
	line, segment := reader.PeekLine()
	w, pos := util.IndentWidth(line, reader.LineOffset())
	if w > 3 || pos >= len(line) {
		return parser.Continue | parser.HasChildren
	}
	colons := countColons(line[pos:])
	if colons != f.colons || !blank(line[pos+colons:]) || !closes(f, pc) {
		return parser.Continue | parser.HasChildren
	}
	f.closed = true
	for _, b := range innerBlocks(f, pc) {
		if inner, ok := b.Node.(*fence); ok && !inner.closed {
			inner.closer = segment.Start + pos
		}
	}
	reader.AdvanceToEOL()
	return parser.Close
}

func (fenceParser) Close(ast.Node, gtext.Reader, parser.Context) {}

// closes reports whether a closing line of f's length ends f itself: no block
// with as many colons is open inside it, and no code block that would show the line as it is.
func closes(f *fence, pc parser.Context) bool {
	for _, b := range innerBlocks(f, pc) {
		switch n := b.Node.(type) {
		case *fence:
			if n.colons == f.colons {
				return false
			}
		case *ast.FencedCodeBlock:
			return false
		}
	}
	return true
}

func innerBlocks(f *fence, pc parser.Context) []parser.Block {
	open := pc.OpenedBlocks()
	for i, b := range open {
		if b.Node == ast.Node(f) {
			return open[i+1:]
		}
	}
	return nil
}

func countColons(line []byte) int {
	n := 0
	for n < len(line) && line[n] == ':' {
		n++
	}
	return n
}

func blank[T string | []byte](line T) bool {
	for i := range len(line) {
		if !isSpace(line[i]) {
			return false
		}
	}
	return true
}

func isSpace(b byte) bool { return b == ' ' || b == '\t' || b == '\r' || b == '\n' }

// trim narrows the range to what is not white space.
func trim[T string | []byte](line T, start, end int) (int, int) {
	for start < end && isSpace(line[start]) {
		start++
	}
	for end > start && isSpace(line[end-1]) {
		end--
	}
	return start, end
}
