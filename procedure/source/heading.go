package source

import (
	"bytes"
	"regexp"
	"strings"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/parser"
	gtext "github.com/yuin/goldmark/text"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/grammar"
	"matchmark/procedure/say"
)

// A step is a heading of level two with its name, {#name}, and its attributes in braces on a line
// below. It ends where the next one begins. A heading of level one between steps groups those
// below it, and may give them attributes in common.

const (
	nameStart = "{#"
	// textMark stands behind a heading of level one or two that is text and neither a section nor a step.
	textMark = "{text}"
)

// headed reports whether headings are steps in a kind of file.
func headed(in grammar.Place) bool {
	return in == grammar.InProcedure || in == grammar.InShared || in == grammar.InRefit
}

// isStepHeading reports whether a line is the heading of a step: level two with a name.
func isStepHeading(line []byte) bool {
	line = bytes.TrimLeft(line, " ")
	rest, ok := bytes.CutPrefix(line, []byte("##"))
	return ok && len(rest) > 0 && (rest[0] == ' ' || rest[0] == '\t') && bytes.Contains(rest, []byte(nameStart))
}

var kindSection = ast.NewNodeKind("Section")

// section is a heading of level one between steps.
type section struct {
	ast.BaseBlock
	heading *ast.Heading
	braces  *braces
}

// Kind implements ast.Node.
func (s *section) Kind() ast.NodeKind { return kindSection }

// Dump implements ast.Node.
func (s *section) Dump(source []byte, level int) { ast.DumpHelper(s, source, level, nil, nil) }

var kindBraces = ast.NewNodeKind("Braces")

// braces are attributes on lines of their own, below a heading. Offsets count from the start of the parsed text.
type braces struct {
	ast.BaseBlock
	start, end int
	// open is set while the closing brace has not come.
	open bool
}

// Kind implements ast.Node.
func (b *braces) Kind() ast.NodeKind { return kindBraces }

// Dump implements ast.Node.
func (b *braces) Dump(source []byte, level int) { ast.DumpHelper(b, source, level, nil, nil) }

type bracesParser struct{}

func (bracesParser) Trigger() []byte { return []byte{'{'} }

func (bracesParser) CanInterruptParagraph() bool { return false }

func (bracesParser) CanAcceptIndentedLine() bool { return false }

func (bracesParser) Open(parent ast.Node, reader gtext.Reader, pc parser.Context) (ast.Node, parser.State) {
	h, ok := parent.LastChild().(*ast.Heading)
	pos := pc.BlockOffset()
	if !ok || !takesBraces(h, reader.Source()) || pos < 0 || parent.Kind() != ast.KindDocument || !isLightContext(pc) {
		return nil, parser.NoChildren
	}
	_, segment := reader.PeekLine()
	b := &braces{start: segment.Start + pos, open: true}
	b.take(reader)
	return b, parser.NoChildren
}

// takesBraces reports whether what stands in braces below a heading are attributes: it is a step or a section by its level or its name, and no text.
func takesBraces(h *ast.Heading, src []byte) bool {
	if h.Lines().Len() == 0 {
		return h.Level <= 2
	}
	start, stop := h.Lines().At(0).Start, h.Lines().At(h.Lines().Len()-1).Stop
	if start > 0 && len(bytes.Trim(src[start:stop], "=- \t\r\n")) == 0 {
		// The line under a heading: the parser has not put the words above it into the node yet.
		start, stop = bytes.LastIndexByte(src[:start-1], '\n')+1, start
	}
	words := bytes.TrimRight(src[start:stop], " \t\r\n")
	return bytes.Contains(words, []byte(nameStart)) || h.Level <= 2 && !bytes.HasSuffix(words, []byte(textMark))
}

func (bracesParser) Continue(node ast.Node, reader gtext.Reader, _ parser.Context) parser.State {
	b := node.(*braces)
	line, _ := reader.PeekLine()
	if !b.open || blank(line) || line[0] == '#' || countColons(line) > 2 {
		return parser.Close
	}
	b.take(reader)
	return parser.Continue | parser.NoChildren
}

func (bracesParser) Close(ast.Node, gtext.Reader, parser.Context) {}

// take takes in the line that comes next.
func (b *braces) take(reader gtext.Reader) {
	line, segment := reader.PeekLine()
	_, end := trim(line, 0, len(line))
	b.end = segment.Start + end
	b.open = !closesBraces(reader.Source()[b.start:b.end])
	reader.AdvanceToEOL()
}

// closesBraces reports whether a closing brace stands outside of quotation marks.
func closesBraces(s []byte) bool {
	quoted := false
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case quoted && c == '\\':
			i++
		case c == '"':
			quoted = !quoted
		case c == '}' && !quoted:
			return true
		}
	}
	return false
}

// group puts what belongs to a step into one node, for the steps that are headings.
func (r *reader) group(doc ast.Node) {
	if !r.light {
		return
	}
	var step *fence
	for n := doc.FirstChild(); n != nil; {
		next := n.NextSibling()
		switch x := n.(type) {
		case *ast.Heading:
			if r.cutTextMark(x) {
				break
			}
			given, _ := next.(*braces)
			named := r.nameAt(x) >= 0
			if named && x.Level != 2 {
				at := r.segment(r.headingFrom(x), r.endOf(x)-r.base)
				r.report("heading-form", at, say.That("a step is a heading of level two, this one is of level %level", say.Count(x.Level)), say.That("Write ## in front of the title."))
			}
			switch {
			case named, x.Level == 2 && (given != nil || r.nearName(x)):
				step = r.headedStep(x, given)
				doc.InsertBefore(doc, n, step)
				next = dropped(doc, n, given)
				n = nil
			case x.Level == 2:
				r.namelessHeading(x)
			case x.Level > 2:
			case step != nil || given != nil || groups(next):
				step = nil
				s := &section{heading: x, braces: given}
				doc.InsertBefore(doc, n, s)
				next = dropped(doc, n, given)
				n = nil
			}
		case *fence:
			if r.endsStep(x) {
				step = nil
			}
		}
		if step != nil && n != nil {
			step.AppendChild(step, n)
		}
		n = next
	}
}

// isLight reports whether a file is written with headings for steps: one has a name or
// attributes, or nothing is a block that steps come from.
func isLight(src []byte, in grammar.Place) bool {
	if !headed(in) {
		return false
	}
	blocks, code, heading := false, false, false
	for line := range bytes.Lines(src) {
		line = bytes.TrimLeft(line, " ")
		if len(line) == 0 || blank(line) {
			continue
		}
		switch line[0] {
		case '`', '~':
			code = code != (bytes.HasPrefix(line, []byte("```")) || bytes.HasPrefix(line, []byte("~~~")))
			heading = false
		case '#':
			if heading = bytes.HasPrefix(line, []byte("## ")); heading && !code && isStepHeading(line) {
				return true
			}
		case '{':
			if heading && !code {
				return true
			}
		case ':':
			if colons := countColons(line); colons > 2 && !code {
				kind := kindOfLine(line[colons:])
				blocks = blocks || kind != nil && fromSteps(kind)
			}
			heading = false
		default:
			heading = false
		}
	}
	return !blocks
}

// fromSteps reports whether a kind of block opens a step or takes steps in.
func fromSteps(kind *grammar.BlockKind) bool {
	return kind.AllowedIn(grammar.InProcedure) && !kind.AllowedIn(grammar.InStep)
}

// endsStep reports whether a block opens a step, or can stand in none.
func (r *reader) endsStep(f *fence) bool {
	if f.infoStart < 0 {
		return false
	}
	kind := kindOfLine(r.src[f.infoStart:f.infoEnd])
	return kind != nil && fromSteps(kind)
}

// dropped takes a heading and its attributes out of the document and returns what comes next.
func dropped(doc, heading ast.Node, given *braces) ast.Node {
	next := heading.NextSibling()
	doc.RemoveChild(doc, heading)
	if given != nil {
		next = given.NextSibling()
		doc.RemoveChild(doc, given)
	}
	return next
}

// groups reports whether what comes behind a heading of level one is a step or what takes steps in.
func groups(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.Heading:
		return n.Level == 2
	case *fence:
		return true
	}
	return false
}

// headedStep is the step that a heading opens.
func (r *reader) headedStep(h *ast.Heading, given *braces) *fence {
	start, end := r.headingFrom(h), r.endOf(h)-r.base
	return &fence{colons: 3, start: start, infoStart: start, infoEnd: end, closed: true, closer: -1, heading: h, braces: given}
}

// headingFrom returns where the line of a heading starts, from its first sign on.
func (r *reader) headingFrom(h *ast.Heading) int {
	start := r.startOf(h) - r.base
	from, _ := trim(r.src, bytes.LastIndexByte(r.src[:start], '\n')+1, start)
	return from
}

// cutTextMark takes the mark off a heading that is text, and reports whether it is one.
func (r *reader) cutTextMark(h *ast.Heading) bool {
	t, ok := h.LastChild().(*ast.Text)
	if !ok {
		return false
	}
	words, marked := bytes.CutSuffix(t.Segment.Value(r.src), []byte(textMark))
	if !marked {
		return false
	}
	_, end := trim(words, 0, len(words))
	t.Segment = t.Segment.WithStop(t.Segment.Start + end)
	if end == 0 {
		h.RemoveChild(h, t)
	}
	return true
}

// nameAt returns where the name stands in the source of a heading, from its brace on; -1 for none.
func (r *reader) nameAt(h *ast.Heading) int {
	start, end := r.startOf(h)-r.base, r.endOf(h)-r.base
	if end <= start || r.src[end-1] != '}' {
		return -1
	}
	if at := bytes.LastIndex(r.src[start:end], []byte(nameStart)); at >= 0 {
		return start + at
	}
	return -1
}

// almostName is a name that lacks a part of its form: {hood-off}, (#hood-off), #hood-off, [#hood-off], {#hood-off.
var almostName = regexp.MustCompile(`[ \t]+(?:\{#?[ \t]*([a-z][a-z0-9-]*)[ \t]*\}?|[(\[]#([a-z][a-z0-9-]*)[)\]]|#([a-z][a-z0-9-]*))$`)

// nearName reports whether something at the end of a heading was likely meant as its name.
func (r *reader) nearName(h *ast.Heading) bool {
	return almostName.Match(r.src[r.startOf(h)-r.base : r.endOf(h)-r.base])
}

// lostHeading reports a line of text that has a step's name and is no heading.
func (r *reader) lostHeading(n ast.Node) {
	if !r.light || n.Kind() != ast.KindParagraph {
		return
	}
	lines := n.Lines()
	for i := range lines.Len() {
		line := lines.At(i)
		start, end := trim(r.src, line.Start, line.Stop)
		if !bytes.Contains(r.src[start:end], []byte(nameStart)) || !nameAtEnd.Match(r.src[start:end]) {
			continue
		}
		do := say.That("Write ## Title {#name}.")
		if bytes.HasPrefix(r.src[start:end], []byte("##")) {
			do = say.That("Write a space behind ##.")
		}
		r.report("heading-form", r.segment(start, end), say.That("this line has the name of a step, but is no heading"), do)
	}
}

// nameAtEnd is a step's name at the end of a line of text.
var nameAtEnd = regexp.MustCompile(`\{#[a-z][a-z0-9-]*\}[*_]*$`)

// namelessHeading reports a heading of level two that neither opens a step nor says that it is text.
func (r *reader) namelessHeading(h *ast.Heading) {
	span := r.segment(r.headingFrom(h), r.endOf(h)-r.base)
	r.report("heading-without-name", span, say.That("this heading of level two has no name, so it opens no step"),
		say.That("Write a name for a step, {#%name}; ### for a heading inside a step; # for a section.", say.Word(slug(r.plainWords(h)))),
		diagnostic.Insert(span.Sub(span.End-span.Start, span.End-span.Start), " {#"+slug(r.plainWords(h))+"}", false))
}

// slug makes a name of words.
func slug(words string) string {
	var b strings.Builder
	for _, c := range strings.ToLower(words) {
		switch {
		case c >= 'a' && c <= 'z', c >= '0' && c <= '9' && b.Len() > 0:
			b.WriteRune(c)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	if name := strings.TrimSuffix(b.String(), "-"); name != "" {
		return name
	}
	return "name"
}

// headingOpening takes a step's heading and its line of attributes apart, as parseOpening does with an opening line.
func (r *reader) headingOpening(f *fence) (o opening) {
	o.span = r.segment(f.start, f.infoEnd)
	o.kind, o.kindSpan = stepKind.Name, o.span
	start := r.startOf(f.heading) - r.base
	words := r.plainWords(f.heading)
	if at := r.nameAt(f.heading); at >= 0 {
		name := r.src[at+len(nameStart) : f.infoEnd-1]
		from, to := trim(name, 0, len(name))
		o.argument, o.argumentSpan = string(name[from:to]), r.segment(at+len(nameStart)+from, at+len(nameStart)+to)
		o.titleSpan = r.segment(trim(r.src, start, at))
		if cut := strings.LastIndex(words, nameStart); cut >= 0 {
			words = words[:cut]
		}
		if more := bytes.IndexByte(name, ' '); more >= 0 && bytes.IndexByte(name, '=') > 0 {
			o.argument, o.argumentSpan = string(name[from:more]), r.segment(at+len(nameStart)+from, at+len(nameStart)+more)
			o.broken = true
			r.report("fence-syntax", r.segment(at+len(nameStart)+more+1, f.infoEnd-1), say.That("a heading's braces hold the step's name and nothing else"),
				say.That("Write the attributes in braces on a line of their own below the heading."))
		}
	} else {
		o.titleSpan = r.segment(start, f.infoEnd)
		r.lostName(f, &o, &words)
	}
	o.title, o.hasTitle = strings.TrimSpace(words), true
	if f.braces != nil {
		r.bracesOpening(f.braces, &o)
	}
	return o
}

// lostName reports a step's heading without a name in its form, and reads on with the one that was likely meant.
func (r *reader) lostName(f *fence, o *opening, words *string) {
	o.broken = true
	heading := r.src[r.startOf(f.heading)-r.base : f.infoEnd]
	at := almostName.FindSubmatchIndex(heading)
	if at == nil {
		o.argument = slug(*words)
		end := r.segment(f.infoEnd, f.infoEnd)
		r.report("heading-without-name", o.span, say.That("this step has no name"), say.That("Write it behind the title: {#%name}.", say.Word(o.argument)),
			diagnostic.Insert(end, " {#"+o.argument+"}", false))
		return
	}
	for i := 2; i < len(at); i += 2 {
		if at[i] >= 0 {
			o.argument = string(heading[at[i]:at[i+1]])
			break
		}
	}
	from := f.infoEnd - len(heading) + at[0] + 1
	span := r.segment(from, f.infoEnd)
	r.report("heading-without-name", span, say.That("the step's name does not have its form"), say.That("Write {#%name}.", say.Word(o.argument)),
		diagnostic.Replace(span, nameStart+o.argument+"}", true))
	if cut := strings.LastIndexAny(*words, "{([#"); cut > 0 {
		*words = strings.TrimRight((*words)[:cut], "([{ ")
	}
}

// bracesOpening reads a line of attributes.
func (r *reader) bracesOpening(b *braces, o *opening) {
	span := r.segment(b.start, b.end)
	s := &scanner{src: span.Text(), span: span}
	r.parseAttributes(s, o)
	s.space()
	if !s.done() {
		do := say.That("Write the text on a line of its own below.")
		if strings.ContainsAny(s.src, curlyMarks) {
			do = say.That(`Use straight quotation marks: ".`)
		}
		r.unreadable(o, s.rest(), say.That("this does not belong on a line of attributes"), do, r.straighten(span, s.rest())...)
	}
}

// strayBraces reports attributes that stand below a heading that is text.
func (r *reader) strayBraces(b *braces) {
	r.report("fence-syntax", r.segment(b.start, b.end), say.That("these attributes belong to no step"), say.That("Write them below a heading with a name, ## Title {#name}, or take them out."))
}
