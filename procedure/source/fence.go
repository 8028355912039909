package source

import (
	"bytes"
	"slices"
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/parser"
	gtext "github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/grammar"
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
	// closeStart is where the closing line starts.
	closeStart int
	// closer is the closing line of an outer block that ended this one, when it was not closed itself.
	closer int
	// beforeStart and beforeEnd bound the opening line of the block that ended this one, since it cannot
	// stand in it and more blocks were open than lines close; both are 0 for none.
	beforeStart, beforeEnd int
	// tooDeep is set when the block is nested deeper than the dialect allows.
	tooDeep bool
	// heading is set for a step that is a heading, and braces for its attributes. Such a step is closed by what comes next.
	heading *ast.Heading
	braces  *braces
}

// Kind implements ast.Node.
func (f *fence) Kind() ast.NodeKind { return kindFence }

// Dump implements ast.Node.
func (f *fence) Dump(source []byte, level int) { ast.DumpHelper(f, source, level, nil, nil) }

// fences is the goldmark extension that reads colon-fenced containers, attributes below headings, and tasks.
type fences struct{}

// Extend implements goldmark.Extender.
func (fences) Extend(m goldmark.Markdown) {
	// Before all built-in block parsers but after none: a line of colons starts nothing else in CommonMark.
	m.Parser().AddOptions(
		parser.WithBlockParsers(util.Prioritized(fenceParser{}, 50), util.Prioritized(bracesParser{}, 60)),
		parser.WithParagraphTransformers(util.Prioritized(boxes{}, 50), util.Prioritized(pieceOpenings{}, 60)),
	)
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
	if pos < len(line) && isLetter(line[pos]) {
		return parser.Continue | parser.HasChildren // as most lines: text, which neither closes nor opens anything
	}
	if pos < len(line) && takenIn(f, line[pos:], pc) {
		pos += bytes.IndexByte(line[pos:], ':')
		return f.close(segment.Start+pos, reader, pc)
	}
	if w > 3 || pos >= len(line) {
		return parser.Continue | parser.HasChildren
	}
	colons := countColons(line[pos:])
	if colons >= 3 && ends(f, line[pos+colons:], reader, pc) || endsBefore(f, line[pos:], reader, pc) {
		f.beforeStart = segment.Start + pos
		_, end := trim(line, pos, len(line))
		f.beforeEnd = segment.Start + end
		for _, b := range innerBlocks(f, pc) {
			if inner, ok := b.Node.(*fence); ok {
				inner.beforeStart, inner.beforeEnd = f.beforeStart, f.beforeEnd
			}
		}
		return parser.Close
	}
	if colons != f.colons || !blank(line[pos+colons:]) || !closes(f, pc) {
		return parser.Continue | parser.HasChildren
	}
	return f.close(segment.Start+pos, reader, pc)
}

// close ends f, and what is open in it, with the line that comes next.
func (f *fence) close(at int, reader gtext.Reader, pc parser.Context) parser.State {
	f.closed, f.closeStart = true, at
	for _, b := range innerBlocks(f, pc) {
		if inner, ok := b.Node.(*fence); ok && !inner.closed {
			inner.closer = at
		}
	}
	reader.AdvanceToEOL()
	return parser.Close
}

// ends reports whether a line that opens a block shows that f should have been closed
// before it: f cannot hold the block, what stands around f can, and up to the next block that
// stands in no other, more blocks are open than lines close. A block that is closed and
// merely stands in the wrong place ends nothing.
func ends(f *fence, info []byte, reader gtext.Reader, pc parser.Context) bool {
	kind := kindOfLine(info)
	outer := likelyKind(reader.Source()[f.infoStart:f.infoEnd])
	if kind == nil || outer == nil || kind.AllowedIn(grammar.Place(outer.Name)) || inCode(f, pc) {
		return false
	}
	in, _ := pc.Get(placeKey).(grammar.Place)
	depth, fits := 0, kind.AllowedIn(in)
	for _, b := range pc.OpenedBlocks() {
		x, isFence := b.Node.(*fence)
		if !isFence {
			continue
		}
		depth++
		if around := kindOfLine(reader.Source()[x.infoStart:x.infoEnd]); x.start < f.start && around != nil && kind.AllowedIn(grammar.Place(around.Name)) {
			fits = true
		}
	}
	// Below the heading of a step there is nothing around f that is a fence.
	fits = fits || isLightContext(pc) && kind.AllowedIn(grammar.InStep) && !inStepBlock(reader.Source(), pc)
	_, segment := reader.PeekLine()
	return fits && leftOpen(reader.Source()[segment.Start:], depth, in)
}

// endsBefore reports whether a line that is no fence shows that f should have been closed before
// it: the heading of a step, or a task in a block that holds none while more blocks are open than lines close.
func endsBefore(f *fence, line []byte, reader gtext.Reader, pc parser.Context) bool {
	if len(line) < 3 || line[0] != '#' && marker(line) == 0 || !isLightContext(pc) || inCode(f, pc) {
		return false
	}
	if isStepHeading(line) {
		return true
	}
	n := marker(line)
	start, end := trim(line, n, len(line))
	if n == 0 || boxOf(line[start:end]) == 0 {
		return false
	}
	if kind := likelyKind(reader.Source()[f.infoStart:f.infoEnd]); kind == nil || slices.Contains(actHolders, kind.Name) {
		return false
	}
	depth := 0
	for _, b := range pc.OpenedBlocks() {
		if _, ok := b.Node.(*fence); ok {
			depth++
		}
	}
	in, _ := pc.Get(placeKey).(grammar.Place)
	_, segment := reader.PeekLine()
	return leftOpen(reader.Source()[segment.Start:], depth, in)
}

// actHolders are the kinds of block that a task may stand in.
var actHolders = []string{"step", "variant", "fasteners", "actions"}

// takenIn reports whether a line is f's closing line as formatters leave it that took it for the end of a list, a quotation
// or a table in front of it: set in, behind a > or in a cell of its own.
func takenIn(f *fence, line []byte, pc parser.Context) bool {
	if bytes.IndexByte(line, ':') < 0 {
		return false
	}
	words := bytes.Trim(line, " \t\r\n>|")
	return len(words) == f.colons && countColons(words) == f.colons && closes(f, pc) &&
		slices.ContainsFunc(innerBlocks(f, pc), func(b parser.Block) bool {
			switch b.Node.Kind() {
			case ast.KindListItem, ast.KindBlockquote:
				return true
			case ast.KindParagraph: // a table is one until it ends
				return bytes.IndexByte(line, '|') >= 0
			}
			return false
		})
}

// leftOpen counts on through a text in which so many blocks are open already, up to the
// next block that stands in no other, and reports whether some are not closed until there.
func leftOpen(source []byte, depth int, in grammar.Place) bool {
	code := false
	for line := range bytes.Lines(source) {
		line = bytes.TrimLeft(line, " ")
		if bytes.HasPrefix(line, []byte("```")) {
			code = !code
		}
		if !code && headed(in) && isStepHeading(line) {
			return true
		}
		colons := countColons(line)
		if code || colons < 3 {
			continue
		}
		if blank(line[colons:]) {
			if depth--; depth == 0 {
				return false
			}
			continue
		}
		if kind := kindOfLine(line[colons:]); kind != nil && kind.AllowedIn(in) && !kind.AllowedIn(grammar.InStep) {
			return true
		}
		depth++
	}
	return true
}

// inStepBlock reports whether a step that is a block is open.
func inStepBlock(source []byte, pc parser.Context) bool {
	return slices.ContainsFunc(pc.OpenedBlocks(), func(b parser.Block) bool {
		f, ok := b.Node.(*fence)
		if !ok {
			return false
		}
		kind := kindOfLine(source[f.infoStart:f.infoEnd])
		return kind != nil && kind.Name == stepKind.Name
	})
}

// placeKey and lightKey find in the parser's context the kind of file that is parsed, and whether its steps are headings.
var placeKey, lightKey = parser.NewContextKey(), parser.NewContextKey()

// contextOf is a parser's context for a kind of file.
func contextOf(in grammar.Place, light bool) parser.Context {
	pc := parser.NewContext()
	pc.Set(placeKey, in)
	pc.Set(lightKey, light)
	return pc
}

// isLightContext reports whether the steps of the file that is parsed are headings.
func isLightContext(pc parser.Context) bool {
	light, _ := pc.Get(lightKey).(bool)
	return light
}

// placeOf is the place that a kind of file is.
func placeOf(kind string) grammar.Place {
	if kind == "steps" {
		return grammar.InShared
	}
	return grammar.Place(kind + " file")
}

// kindOfLine is the kind of block that the words behind an opening line's colons name; nil for none.
func kindOfLine(info []byte) *grammar.BlockKind {
	start, end := trim(info, 0, len(info))
	stop := start
	for stop < end && strings.IndexByte(wordEnds, info[stop]) < 0 {
		stop++
	}
	for i := range blockKinds {
		if blockKinds[i].Name == string(info[start:stop]) {
			return &blockKinds[i]
		}
	}
	return nil
}

// likelyKind is kindOfLine, or the kind that a mistyped word was likely meant as.
func likelyKind(info []byte) *grammar.BlockKind {
	if kind := kindOfLine(info); kind != nil {
		return kind
	}
	start, end := trim(info, 0, len(info))
	word, _ := (&scanner{src: string(info[start:end])}).word()
	return blockKind(diagnostic.Nearest(word, blockNames()))
}

// inCode reports whether a code block is open inside f, which shows every line as it is.
func inCode(f *fence, pc parser.Context) bool {
	return slices.ContainsFunc(innerBlocks(f, pc), func(b parser.Block) bool { return b.Node.Kind() == ast.KindFencedCodeBlock })
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
