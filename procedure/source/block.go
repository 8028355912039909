package source

import (
	"strings"

	"github.com/yuin/goldmark/ast"

	"matchmark/procedure"
	"matchmark/procedure/text"
)

// block is a fence whose opening line has been read and checked against the grammar.
type block struct {
	opening
	kind *BlockKind
	node *fence
	// in is where the block stands.
	in Place
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
		r.report("nested-too-deep", span, "blocks are nested too deep", "Close the blocks before this one; a step needs three levels at most.")
		return nil
	}
	b := &block{opening: r.parseOpening(r.segment(f.infoStart, f.infoEnd)), node: f, in: in}
	b.span = span
	if !f.closed {
		r.unclosed(f, b)
	}
	b.kind = blockKind(b.opening.kind)
	if b.kind == nil {
		r.report("unknown-block", b.kindSpan, "there is no block kind "+quote(b.opening.kind),
			suggest(b.opening.kind, blockNames(), "Use one of: "+strings.Join(blockNames(), ", ")+"."))
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
		r.report("misplaced-block", b.kindSpan, "a block "+quote(b.kind.Name)+" cannot stand "+where,
			"It belongs in "+strings.Join(places, " or ")+".")
		return nil
	}
	if !r.checkOpening(b) {
		return nil
	}
	return b
}

func (r *reader) unclosed(f *fence, b *block) {
	colons := strings.Repeat(":", f.colons)
	if f.closer >= 0 {
		r.reportSee("unclosed-block", b.span, "this block is not closed", "Close it with a line of "+colons+" only.",
			r.segment(f.closer, f.closer+1), "the block around it ends here")
		return
	}
	r.report("unclosed-block", b.span, "this block is not closed before the end of the file", "Close it with a line of "+colons+" only.")
}

// fenceSpan is the opening line from its first colon.
func (r *reader) fenceSpan(f *fence) text.Span {
	if f.infoStart < 0 {
		return r.segment(f.start, f.start+f.colons)
	}
	return r.segment(f.start, f.infoEnd)
}

// checkOpening compares the opening line with the kind's grammar. It returns false
// when the block cannot be used without what is missing.
func (r *reader) checkOpening(b *block) bool {
	ok := true
	arg := b.kind.Argument
	switch {
	case arg.Name == "" && b.argument != "":
		r.report("fence-syntax", b.argumentSpan, "a block "+quote(b.kind.Name)+" takes no word here",
			"Put the words into the block, or into a title in quotation marks where the kind has one.")
	case arg.Required && b.argument == "":
		r.report("missing-name", b.kindSpan, "this "+b.kind.Name+" has no "+arg.Name, "Write it behind the kind: ::: "+b.kind.Name+" "+strings.ReplaceAll(arg.Name, " ", "-")+".")
		ok = false
	case b.argument != "":
		ok = r.checkValue(arg, b.argument, b.argumentSpan)
	}
	switch {
	case b.kind.Title == "" && b.hasTitle:
		r.report("fence-syntax", b.titleSpan, "a block "+quote(b.kind.Name)+" takes no title", "Put the words into the block.")
	case b.kind.TitleRequired && strings.TrimSpace(b.title) == "":
		r.report("missing-title", b.span, "this "+b.kind.Name+" has no title", `Write `+b.kind.Title+` in quotation marks behind the name.`)
	}
	seen := map[string]text.Span{}
	kept := b.values[:0]
	for _, v := range b.values {
		a, known := b.kind.Attribute(v.name)
		first, twice := seen[v.name]
		switch {
		case !known:
			var names []string
			for _, a := range b.kind.Attributes {
				names = append(names, a.Name)
			}
			otherwise := "A block " + quote(b.kind.Name) + " takes no attributes."
			if len(names) > 0 {
				otherwise = "Use one of: " + strings.Join(names, ", ") + "."
			}
			r.report("unknown-attribute", v.nameSpan, quote(v.name)+" is not an attribute of "+quote(b.kind.Name), suggest(v.name, names, otherwise))
			continue
		case twice:
			r.reportSee("repeated-attribute", v.nameSpan, "the attribute "+quote(v.name)+" stands twice", "Keep one of them.", first, "the first one")
			continue
		case a.Type == Flag && v.hasValue:
			r.report("attribute-value", v.span, quote(v.name)+" takes no value", "Write "+v.name+" alone.")
		case a.Type != Flag && !v.hasValue:
			r.report("attribute-value", v.nameSpan, quote(v.name)+" needs a value", "Write "+v.name+`=value.`)
			continue
		case a.Type != Flag && !r.checkValue(a, v.text, v.span):
			continue
		}
		seen[v.name] = v.nameSpan
		kept = append(kept, v)
	}
	for _, a := range b.kind.Attributes {
		if a.Required && b.get(a.Name) == nil {
			r.report("missing-attribute", b.span, "this "+b.kind.Name+" has no "+quote(a.Name), "Add {"+a.Name+"=...}: "+a.Means+".")
		}
	}
	b.values = kept
	return ok
}

// checkValue reports a value whose form is wrong. Quantities, times and numbers
// are read, and their faults reported, where they are used.
func (r *reader) checkValue(a Attribute, s string, span text.Span) bool {
	switch a.Type {
	case Name, Names:
		for _, ref := range splitRefs(s, span) {
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
		r.report("attribute-value", span, quote(s)+" is not a "+a.Name, suggest(s, a.Of, "Use one of: "+strings.Join(a.Of, ", ")+"."))
		return false
	}
	return true
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
			if !r.commentBlock(n) {
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

// items returns the items of a block that holds one list, and reports anything else in it.
func (r *reader) items(b *block) []*ast.ListItem {
	var out []*ast.ListItem
	r.eachBlock(b.node, Place(b.kind.Name), func(n ast.Node) {
		list, ok := n.(*ast.List)
		if !ok {
			r.report("list-only", text.Span{File: r.file, Start: r.startOf(n), End: r.endOf(n)},
				"a block "+quote(b.kind.Name)+" holds a list and nothing else", "Start the line with a hyphen and a space, or move the text out of the block.")
			return
		}
		for i := list.FirstChild(); i != nil; i = i.NextSibling() {
			if item, ok := i.(*ast.ListItem); ok {
				out = append(out, item)
			}
		}
	}, func(*block) {})
	return out
}

// head takes a list item apart at its first ": ": the plain words before it, and
// the inline text after it as prose. Further blocks of the item follow in rest.
func (r *reader) head(item *ast.ListItem) (head string, span text.Span, tail procedure.Prose) {
	first := item.FirstChild()
	if first == nil {
		return "", r.near(item), tail
	}
	var nodes []ast.Node
	for n := ast.Node(first); n != nil; n = n.NextSibling() {
		nodes = append(nodes, n)
	}
	for c := first.FirstChild(); c != nil; c = c.NextSibling() {
		t, ok := c.(*ast.Text)
		if !ok {
			break
		}
		value := t.Segment.Value(r.src)
		at := colonAt(value)
		if at < 0 {
			continue
		}
		lead, _ := trim(r.src, r.startOf(first)-r.base, t.Segment.Start+at)
		span = r.segment(lead, t.Segment.Start+at)
		head = strings.TrimSpace(span.Text())
		// What is left of the item is the reason: cut the head off the tree.
		for p := first.FirstChild(); p != nil && p != c; {
			next := p.NextSibling()
			first.RemoveChild(first, p)
			p = next
		}
		from, _ := trim(r.src, t.Segment.Start+at+1, t.Segment.Stop)
		t.Segment = t.Segment.WithStart(from)
		return head, span, r.inlineProse(nodes)
	}
	start, end := r.startOf(first), r.endOf(first)
	if nl := strings.IndexByte(string(r.file.Source[start:end]), '\n'); nl >= 0 && len(nodes) == 1 {
		// A wrapped line without a reason is all head.
		span = r.file.Span(start, end)
		return strings.Join(strings.Fields(span.Text()), " "), span, tail
	}
	if len(nodes) > 1 {
		tail = r.prose(nodes[1:])
	}
	span = r.file.Span(start, end)
	return strings.TrimSpace(span.Text()), span, tail
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
