package source

import (
	"bytes"
	"slices"
	"strconv"
	"strings"

	"github.com/yuin/goldmark/ast"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/text"
)

// block is a fence whose opening line has been read and checked against the grammar.
type block struct {
	opening
	kind *BlockKind
	node *fence
}

// openFence reads a fence's opening line and checks it against the grammar. A nil
// result means that the fault was reported and the block is passed over.
func (r *reader) openFence(f *fence, in Place) *block {
	span := r.fenceSpan(f)
	switch {
	case f.infoStart < 0:
		r.report("stray-fence", span, "this line closes nothing",
			"Take the line out, or give it as many colons as the block that it should close.")
		return nil
	case f.tooDeep:
		r.report("unclosed-block", span, strconv.Itoa(deepestNesting)+" blocks are open here", "Close the blocks before this one; a step needs three levels at most.")
		return nil
	}
	b := &block{opening: r.parseOpening(r.segment(f.infoStart, f.infoEnd)), node: f}
	b.span = span
	if !f.closed {
		r.unclosed(f, b, r.release(f, in))
	}
	b.kind = blockKind(b.opening.kind)
	if b.kind == nil {
		r.report("unknown-block", b.kindSpan, "there is no block kind "+quote(b.opening.kind),
			diagnostic.Suggest(b.opening.kind, blockNames(), "Use one of: "+strings.Join(blockNames(), ", ")+"."))
		return nil
	}
	if !b.kind.allowedIn(in) {
		var places []string
		for _, p := range b.kind.In {
			places = append(places, "a "+string(p))
		}
		where := "here"
		if in != "" {
			where = "in a " + string(in)
		}
		what, do := "a block "+quote(b.kind.Name)+" cannot stand "+where, "It belongs in "+strings.Join(places, " or ")+"."
		if outer, ok := f.Parent().(*fence); ok {
			r.reportSee("misplaced-block", b.kindSpan, what, do, r.fenceSpan(outer), "the block that it stands in; is its closing line missing?")
		} else {
			r.report("misplaced-block", b.kindSpan, what, do)
		}
		return nil
	}
	r.checkOpening(b)
	return b
}

// release frees what an unclosed block has swallowed: from the first block that
// may stand around it but not in it, everything moves out behind it. It returns
// that block, or nil, so that one missing line gives one message.
func (r *reader) release(f *fence, in Place) *fence {
	// An unclosed block reaches to the end of the one around it, so the next one to look into is the last.
	for outer, ok := f, true; ok && !outer.closed; outer, ok = outer.LastChild().(*fence) {
		inside := Place(r.kindWord(outer))
		for n := outer.FirstChild(); n != nil; n = n.NextSibling() {
			inner, isFence := n.(*fence)
			if !isFence {
				continue
			}
			kind := blockKind(r.kindWord(inner))
			if kind == nil || kind.allowedIn(inside) || !kind.allowedIn(in) {
				continue
			}
			for shut := outer; shut != f; shut = shut.Parent().(*fence) {
				shut.closer = inner.start
			}
			parent, behind := f.Parent(), ast.Node(f)
			for n != nil {
				next := n.NextSibling()
				parent.InsertAfter(parent, behind, n)
				behind, n = n, next
			}
			return inner
		}
	}
	return nil
}

// kindWord is the first word of a fence's opening line.
func (r *reader) kindWord(f *fence) string {
	if f.infoStart < 0 {
		return ""
	}
	s := &scanner{src: string(r.src[f.infoStart:f.infoEnd])}
	word, _ := s.word()
	return word
}

// unclosed reports a block without a closing line; before is the block that shows where the line should have been.
func (r *reader) unclosed(f *fence, b *block, before *fence) {
	do := "Close it with a line of " + strings.Repeat(":", f.colons) + " only."
	switch {
	case before != nil:
		r.reportSee("unclosed-block", b.span, "this block is not closed", do, r.fenceSpan(before), "the closing line should stand before this block")
	case f.closer >= 0:
		r.reportSee("unclosed-block", b.span, "this block is not closed", do, r.segment(f.closer, f.closer+1), "the block around it ends here")
	default:
		r.report("unclosed-block", b.span, "this block is not closed before the end of the file", do)
	}
}

// lostFence reports the first line of some text that should have opened or closed a block: it would be shown as it stands.
func (r *reader) lostFence(n ast.Node) {
	lines := n.Lines()
	for i := range lines.Len() {
		line := lines.At(i)
		start, end := trim(r.src, line.Start, line.Stop)
		colons := countColons(r.src[start:end])
		if colons < 2 {
			continue
		}
		word, _ := (&scanner{src: string(bytes.TrimLeft(r.src[start+colons:end], " \t"))}).word()
		kind := blockKind(word)
		switch {
		case kind != nil && colons == 2:
			r.report("fence-syntax", r.segment(start, end), "this line opens no block: it has two colons", "Write three: ::: "+word+".")
			return
		case kind != nil, word == "" && colons > 2:
			r.report("fence-syntax", r.segment(start, end), "this line opens or closes no block: it stands too far to the right",
				"Leave out the tab or the spaces before the colons; three spaces are the most.")
			return
		}
	}
}

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
		r.report("fence-syntax", b.argumentSpan, "a block "+quote(b.kind.Name)+" takes no word here",
			"Put the words into the block, or into a title in quotation marks where the kind has one.")
	case arg.Required && b.argument == "" && b.kind.Name == "variant":
		r.report("missing-name", b.kindSpan, "this variant block does not say for which variants it is", "Write them behind the kind: ::: variant name, other-name.")
	case arg.Required && b.argument == "":
		r.report("missing-name", b.kindSpan, "this "+b.kind.Name+" has no "+arg.Name, "Write it behind the kind: ::: "+b.kind.Name+" "+strings.ReplaceAll(arg.Name, " ", "-")+".")
	case b.argument != "" && !r.checkValue(arg, b.argument, b.argumentSpan):
		b.argument = ""
	}
	switch {
	case b.kind.Title == "" && b.hasTitle:
		r.report("fence-syntax", b.titleSpan, "a block "+quote(b.kind.Name)+" takes no title", "Put the words into the block.")
	case b.kind.TitleRequired && !b.broken && strings.TrimSpace(b.title) == "":
		r.report("missing-title", b.span, "this "+b.kind.Name+" has no title", `Write `+b.kind.Title+` in quotation marks behind the name.`)
	}
	for i := range b.values {
		r.checkAttribute(b, i)
	}
	for i := range b.kind.Attributes {
		a := &b.kind.Attributes[i]
		if a.Required && b.get(a.Name) == nil && !b.broken {
			r.report("missing-attribute", b.span, "this "+b.kind.Name+" has no "+quote(a.Name), "Add {"+a.Name+"=...}: "+a.Means+".")
		}
	}
	b.values = slices.DeleteFunc(b.values, func(v value) bool { return v.unfit })
}

// checkAttribute compares an opening line's i-th attribute with the kind's grammar, and marks one that is unfit.
func (r *reader) checkAttribute(b *block, i int) {
	v := &b.values[i]
	a := b.kind.attribute(v.name)
	v.unfit = true
	if v.stray {
		return
	}
	if strings.Trim(v.name, ",;") == "" {
		r.report("unknown-attribute", v.nameSpan, "spaces separate attributes, not "+quote(v.name), "Take it out.")
		return
	}
	if a == nil {
		var names []string
		for _, a := range b.kind.Attributes {
			names = append(names, a.Name)
		}
		otherwise := "A block " + quote(b.kind.Name) + " takes no attributes."
		if len(names) > 0 {
			otherwise = "Use one of: " + strings.Join(names, ", ") + "."
		}
		r.report("unknown-attribute", v.nameSpan, quote(v.name)+" is not an attribute of "+quote(b.kind.Name), diagnostic.Suggest(v.name, names, otherwise))
		return
	}
	for before := i - 1; before >= 0; before-- {
		if first := &b.values[before]; first.name == v.name {
			r.reportSee("repeated-attribute", v.nameSpan, "the attribute "+quote(v.name)+" stands twice", "Keep one of them.", first.nameSpan, "the first one")
			return
		}
	}
	switch {
	case r.spacedValue(b, i, a):
		return
	case a.Type != Words && a.Type != Names && len(v.text) > 1 && strings.HasSuffix(v.text, ",") && v.bare(r.file.Source):
		r.report("attribute-value", v.span, "a comma stands behind the value of "+quote(v.name), "Take it out: spaces separate attributes.")
		return
	case a.Type == Flag && v.hasValue:
		r.report("attribute-value", v.span, quote(v.name)+" takes no value", "Write "+v.name+" alone.")
	case a.Type == Flag:
	case !v.hasValue || strings.Trim(v.text, ", \t") == "":
		r.report("attribute-value", v.nameSpan, quote(v.name)+" needs a value", "Write "+v.name+`=value, or leave the attribute out.`)
		return
	case !r.checkValue(a, v.text, v.span):
		return
	}
	v.unfit = false
}

// checkValue reports a value whose form is wrong. Quantities, times and numbers
// are read, and their faults reported, where they are used.
func (r *reader) checkValue(a *Attribute, s string, span text.Span) bool {
	switch a.Type {
	case Name, Names:
		for ref := range refsIn(s, span) {
			// A fastener's name is its callout number, so digits may lead in a list of things.
			if !isName(ref.ID) && !isCallout(ref.ID) {
				r.report("bad-name", ref.Span, quote(ref.ID)+" is not a name", "Use lower-case letters, digits and hyphens, a letter first.")
				return false
			}
		}
		if a.Type == Name && strings.Contains(s, ",") {
			r.report("bad-name", span, quote(a.Name)+" takes one name", "Name one thing only.")
			return false
		}
	case Choice:
		for _, w := range a.Of {
			if w == s {
				return true
			}
		}
		r.report("attribute-value", span, quote(s)+" is not a "+a.Name, diagnostic.Suggest(s, a.Of, "Use one of: "+strings.Join(a.Of, ", ")+"."))
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
func (r *reader) eachBlock(parent ast.Node, in Place, prose func(ast.Node), blocks func(*block)) {
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
	r.eachBlock(b.node, Place(b.kind.Name), func(n ast.Node) { nodes = append(nodes, n) }, func(*block) {})
	return r.prose(nodes)
}
