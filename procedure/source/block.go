package source

import (
	"bytes"
	"regexp"
	"slices"
	"strings"

	"github.com/yuin/goldmark/ast"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/grammar"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// block is a fence whose opening line has been read and checked against the grammar.
type block struct {
	opening
	kind *grammar.BlockKind
	node *fence
	// derived is true for a step that takes the place of a derived one, by its name: that one has a time.
	derived bool
}

// openFence reads a fence's opening line and checks it against the grammar. A nil
// result means that the fault was reported and the block is passed over.
func (r *reader) openFence(f *fence, in grammar.Place) *block {
	span := r.fenceSpan(f)
	switch {
	case f.infoStart < 0:
		r.stray(f, span)
		return nil
	case f.tooDeep:
		r.report("unclosed-block", span, say.That("%most blocks are open here", say.Count(deepestNesting)), say.That("Close the blocks before this one; a step needs three levels at most."))
		return nil
	}
	b := &block{node: f}
	if f.heading != nil {
		b.opening = r.headingOpening(f)
	} else {
		b.opening = r.parseOpening(r.segment(f.infoStart, f.infoEnd))
	}
	b.span = span
	if !f.closed {
		r.unclosed(f, b)
	}
	b.kind = blockKind(b.opening.kind)
	if b.kind == nil {
		what := say.That("there is no block kind %kind", say.Quote(b.opening.kind))
		if signal, ok := signalWords[strings.ToLower(strings.TrimRight(b.opening.kind, "!:"))]; ok {
			r.report("unknown-block", b.kindSpan, what, say.That("Write ::: caution %signal.", say.Word(signal)), diagnostic.Replace(b.kindSpan, "caution "+string(signal), false))
		} else {
			r.reportNear("unknown-block", b.kindSpan, what, b.opening.kind, blockNames(), oneOf(blockNames()))
		}
		// What was likely meant is read on, so that the faults in it are told too.
		if b.kind = blockKind(diagnostic.Nearest(b.opening.kind, blockNames())); b.kind == nil || !b.kind.AllowedIn(in) {
			return nil
		}
	}
	if !b.kind.AllowedIn(in) {
		places := say.List{Join: say.EachOr}
		for _, p := range b.kind.In {
			places.Parts = append(places.Parts, say.That("a %place", say.Word(p)))
		}
		what, do := say.That("a block %kind cannot stand here", say.Quote(b.kind.Name)), say.That("It belongs in %places.", places)
		if in != "" {
			what = say.That("a block %kind cannot stand in a %place", say.Quote(b.kind.Name), say.Word(in))
		}
		if outer, ok := f.Parent().(*fence); ok {
			r.reportSee("misplaced-block", b.kindSpan, what, do, r.fenceSpan(outer), say.That("the block that it stands in; is its closing line missing?"))
		} else {
			r.report("misplaced-block", b.kindSpan, what, do)
		}
		return nil
	}
	b.derived = in == grammar.InRefit && (strings.HasSuffix(b.argument, "-back") || strings.HasSuffix(b.argument, "-back-ready") || strings.HasPrefix(b.argument, "refit-"))
	r.checkOpening(b)
	return b
}

// stray reports a closing line that closes nothing.
func (r *reader) stray(f *fence, span text.Span) {
	wrong := say.That("this line closes nothing")
	outer, ok := f.Parent().(*fence)
	switch {
	case ok && !outer.closed:
		return // the block around it is not closed, and that is said
	case ok && outer.heading != nil:
		end := min(span.End+len(lineFrom(r.file.Source, span.End))+1, len(r.file.Source))
		r.report("stray-fence", span, wrong, say.That("Take the line out: a step ends where the next one begins."), diagnostic.Remove(text.Span{File: r.file, Start: span.Start, End: end}, true))
	default:
		r.report("stray-fence", span, wrong, say.That("Take the line out, or give it as many colons as the block that it should close."))
	}
}

// unclosed reports a block without a closing line.
func (r *reader) unclosed(f *fence, b *block) {
	do := say.That("Close it with a line of %colons only.", say.Word(strings.Repeat(":", f.colons)))
	switch {
	case f.beforeEnd > 0:
		r.reportSee("unclosed-block", b.span, say.That("this block is not closed"), do, r.segment(f.beforeStart, f.beforeEnd), say.That("the closing line should stand before this block"))
	case f.closer >= 0:
		r.reportSee("unclosed-block", b.span, say.That("this block is not closed"), do, r.segment(f.closer, f.closer+1), say.That("the block around it ends here"))
	default:
		r.report("unclosed-block", b.span, say.That("this block is not closed before the end of the file"), do)
	}
}

// lostFence reports the first line of some text that should have opened or closed a block: it would be shown as it stands.
func (r *reader) lostFence(n ast.Node) {
	lines := n.Lines()
	for i := range lines.Len() {
		line := lines.At(i)
		start, end := trim(r.src, line.Start, line.Stop)
		if start < end && r.src[start] == ':' && spacedColons.Match(r.src[start:end]) {
			r.report("fence-syntax", r.segment(start, end), say.That("spaces stand between the colons of this line"), say.That("Write them without spaces: :::."))
			return
		}
		colons := countColons(r.src[start:end])
		if colons < 2 {
			continue
		}
		word, _ := (&scanner{src: string(bytes.TrimLeft(r.src[start+colons:end], " \t"))}).word()
		kind := blockKind(word)
		switch {
		case kind != nil && colons == 2:
			r.report("fence-syntax", r.segment(start, end), say.That("this line opens no block: it has two colons"), say.That("Write three: ::: %word.", say.Word(word)))
			return
		case kind != nil, word == "" && colons > 2:
			r.report("fence-syntax", r.segment(start, end), say.That("this line opens or closes no block: it stands too far to the right"),
				say.That("Leave out the tab or the spaces before the colons; three spaces are the most."))
			return
		}
	}
}

// spacedColons are colons with spaces between them where a block should open or close.
var spacedColons = regexp.MustCompile(`^:(?:[ \t]+:){2,}`)

// fenceSpan is the opening line from its first colon.
func (r *reader) fenceSpan(f *fence) text.Span {
	if f.infoStart < 0 {
		return r.segment(f.start, f.start+f.colons)
	}
	return r.segment(f.start, f.infoEnd)
}

// checkOpening compares the opening line with the kind's grammar. What is wrong
// is reported and left out, so that the rest of the block is read all the same.
func (r *reader) checkOpening(b *block) {
	arg := &b.kind.Argument
	switch {
	case arg.Name == "" && b.argument != "":
		b.argument = ""
		do := say.That("Put the words into the block, or into a title in quotation marks where the kind has one.")
		if strings.Contains(b.argumentSpan.Text(), "=") {
			do = say.That("Attributes stand in braces: {%attribute}.", say.Word(b.argumentSpan.Text()))
		}
		r.report("fence-syntax", b.argumentSpan, say.That("a block %kind takes no word here", say.Quote(b.kind.Name)), do)
	case arg.Required && b.argument == "" && b.kind.Name == "variant":
		r.report("missing-name", b.kindSpan, say.That("this variant block does not say for which variants it is"), say.That("Write them behind the kind: ::: variant name, other-name."))
	case arg.Required && b.argument == "":
		r.report("missing-name", b.kindSpan, say.That("this %kind has no %argument", say.Word(b.kind.Name), say.Word(arg.Name)), say.That("Write it behind the kind: ::: %kind %argument.", say.Word(b.kind.Name), say.Name(strings.ReplaceAll(arg.Name, " ", "-"))))
	case b.argument != "" && !r.checkValue(arg, b.argument, b.argumentSpan):
		b.argument = diagnostic.Nearest(b.argument, arg.Of) // what was likely meant is read on
	}
	switch {
	case b.kind.Title == "" && b.hasTitle:
		r.report("fence-syntax", b.titleSpan, say.That("a block %kind takes no title", say.Quote(b.kind.Name)), say.That("Put the words into the block."))
	case b.derived && b.get("differs") != nil: // the derived step has a title
	case b.kind.TitleRequired && !b.broken && strings.TrimSpace(b.title) == "" && b.node.heading != nil:
		r.report("missing-title", b.span, say.That("this %kind has no title", say.Word(b.kind.Name)), say.That("Write %title in front of the name: ## Title {#name}.", say.Word(b.kind.Title)))
	case b.kind.TitleRequired && !b.broken && strings.TrimSpace(b.title) == "":
		r.report("missing-title", b.span, say.That("this %kind has no title", say.Word(b.kind.Name)), say.That("Write %title in quotation marks behind the name.", say.Word(b.kind.Title)))
	}
	for i := range b.values {
		r.checkAttribute(b, i)
	}
	for i := range b.kind.Attributes {
		a := &b.kind.Attributes[i]
		if a.Required && b.get(a.Name) == nil && !b.broken && !(b.derived && a.Name == "time") {
			r.report("missing-attribute", b.span, say.That("this %kind has no %attribute", say.Word(b.kind.Name), say.Quote(a.Name)), say.That("Add {%attribute=...}: %means.", say.Word(a.Name), say.Word(a.Means)))
		}
	}
	b.values = slices.DeleteFunc(b.values, func(v value) bool { return v.unfit })
}

// checkAttribute compares an opening line's i-th attribute with the kind's grammar, and marks one that is unfit.
func (r *reader) checkAttribute(b *block, i int) {
	v := &b.values[i]
	a := b.kind.Attribute(v.name)
	v.unfit = true
	if v.stray {
		return
	}
	if strings.Trim(v.name, ",;") == "" {
		r.report("unknown-attribute", v.nameSpan, say.That("spaces separate attributes, not %name", say.Quote(v.name)), say.That("Take it out."), diagnostic.Remove(v.nameSpan, !v.hasValue))
		return
	}
	if a == nil && b.kind.Name == "include" {
		v.unfit = !r.checkGiven(v)
		return
	}
	if a == nil {
		var names []string
		for _, a := range b.kind.Attributes {
			names = append(names, a.Name)
		}
		otherwise := say.That("A block %kind takes no attributes.", say.Quote(b.kind.Name))
		if len(names) > 0 {
			otherwise = oneOf(names)
		}
		r.reportNear("unknown-attribute", v.nameSpan, say.That("%name is not an attribute of %kind", say.Quote(v.name), say.Quote(b.kind.Name)), v.name, names, otherwise)
		return
	}
	for before := i - 1; before >= 0; before-- {
		if first := &b.values[before]; first.name == v.name {
			r.reportSee("repeated-attribute", v.nameSpan, say.That("the attribute %name stands twice", say.Quote(v.name)), say.That("Keep one of them."), first.nameSpan, say.That("the first one"))
			return
		}
	}
	switch {
	case r.spacedValue(b, i, a):
		return
	case a.Type != grammar.Words && a.Type != grammar.Names && len(v.text) > 1 && strings.HasSuffix(v.text, ",") && v.bare(r.file.Source):
		r.report("attribute-value", v.span, say.That("a comma stands behind the value of %name", say.Quote(v.name)), say.That("Take it out: spaces separate attributes."),
			diagnostic.Remove(v.span.Sub(len(v.text)-1, len(v.text)), !strings.HasSuffix(v.text, ",,")))
		return
	case a.Type == grammar.Flag && v.hasValue:
		r.report("attribute-value", v.span, say.That("%name takes no value", say.Quote(v.name)), say.That("Write %name alone.", say.Word(v.name)))
	case a.Type == grammar.Flag:
	case !v.hasValue || strings.Trim(v.text, ", \t") == "":
		r.report("attribute-value", v.nameSpan, say.That("%name needs a value", say.Quote(v.name)), say.That("Write %name=value, or leave the attribute out.", say.Word(v.name)))
		return
	case !r.checkValue(a, v.text, v.span):
		return
	}
	v.unfit = false
}

// checkValue reports a value whose form is wrong. Quantities, times and numbers
// are read, and their faults reported, where they are used.
func (r *reader) checkValue(a *grammar.Attribute, s string, span text.Span) bool {
	switch a.Type {
	case grammar.Name, grammar.Names:
		named := 0
		for ref := range refsIn(s, span) {
			named++
			// A fastener's name is its callout number, so digits may lead in a list of things.
			if !isName(ref.ID) && !isCallout(ref.ID) {
				r.report("bad-name", ref.Span, say.That("%name is not a name", say.Quote(ref.ID)), say.That("Use lower-case letters, digits and hyphens, a letter first."))
				return false
			}
		}
		if a.Type == grammar.Name && (named > 1 || strings.Contains(s, ",")) {
			r.report("bad-name", span, say.That("%attribute takes one name", say.Quote(a.Name)), say.That("Name one thing only."))
			return false
		}
	case grammar.Choice:
		for _, w := range a.Of {
			if w == s {
				return true
			}
		}
		what := say.That("%value is not a %attribute", say.Quote(s), say.Word(a.Name))
		meant := strings.ToLower(strings.Trim(s, "!.:,;*"))
		if signal, ok := signalWords[meant]; ok && slices.Contains(a.Of, string(signal)) {
			meant = string(signal)
		}
		if slices.Contains(a.Of, meant) {
			r.report("attribute-value", span, what, say.That("Write %word.", say.Word(meant)), diagnostic.Replace(span, meant, true))
			return false
		}
		r.reportNear("attribute-value", span, what, s, a.Of, oneOf(a.Of))
		return false
	}
	return true
}

// hasFence reports whether a node holds a block, be it one that could not be used.
func hasFence(parent ast.Node) bool {
	for n := parent.FirstChild(); n != nil; n = n.NextSibling() {
		if _, ok := n.(*fence); ok {
			return true
		}
	}
	return false
}

func isCallout(s string) bool {
	if s == "" || len(s) > 3 || s[0] == '0' {
		return false
	}
	for _, c := range []byte(s) {
		if c < '0' || c > '9' {
			return false
		}
	}
	return true
}

// eachBlock walks the children of a node: plain Markdown goes to prose, fences that
// the grammar allows here go to blocks.
func (r *reader) eachBlock(parent ast.Node, in grammar.Place, prose func(ast.Node), blocks func(*block)) {
	for n := parent.FirstChild(); n != nil; n = n.NextSibling() {
		f, ok := n.(*fence)
		if !ok {
			if !r.silent(n) {
				prose(n)
			}
			continue
		}
		if b := r.openFence(f, in); b != nil {
			blocks(b)
		}
	}
}

// body returns a block's content as prose; blocks inside it are reported.
func (r *reader) body(b *block) procedure.Prose {
	var nodes []ast.Node
	r.eachBlock(b.node, grammar.Place(b.kind.Name), func(n ast.Node) { nodes = append(nodes, n) }, func(*block) {})
	return r.prose(nodes)
}
