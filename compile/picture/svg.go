package picture

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"slices"
	"strings"

	"matchmark/procedure/say"
)

// Limits of a drawing. The largest drawings of machines stay well below them.
const (
	maxElements = 100_000
	maxDepth    = 100
)

const (
	svgSpace   = "http://www.w3.org/2000/svg"
	xlinkSpace = "http://www.w3.org/1999/xlink"
	xmlSpace   = "http://www.w3.org/XML/1998/namespace"
)

// drawing is a cleaned SVG.
type drawing struct {
	markup        []byte
	width, height float64
	takenOut      []string
}

// node is an element of a drawing, or a piece of text when it has no name.
type node struct {
	name       string
	attributes []attribute
	children   []*node
	text       string
}

type attribute struct{ name, value string }

// cleaner builds a drawing from what the allow-lists let through.
type cleaner struct {
	root     *node
	open     []*node // elements that are open, outermost first
	skipping int     // depth within an element that is taken out
	elements int
	takenOut []string
}

// cleanSVG returns a drawing that holds nothing but drawing: elements and
// attributes of two allow-lists, references to itself only, no script, no
// entity. Cleaning a cleaned drawing changes nothing. Problems of its faults
// lack the picture's name.
func cleanSVG(content []byte) (*drawing, *Fault) {
	c := &cleaner{}
	if f := c.read(content); f != nil {
		return nil, f
	}
	c.cleanStyles(c.root)
	width, height, f := frame(c.root)
	if f != nil {
		return nil, f
	}
	if f := checkUses(c.root); f != nil {
		return nil, f
	}
	var b bytes.Buffer
	c.root.write(&b)
	b.WriteByte('\n')
	return &drawing{b.Bytes(), width, height, c.takenOut}, nil
}

// read builds the tree of allowed elements.
func (c *cleaner) read(content []byte) *Fault {
	decoder := xml.NewDecoder(bytes.NewReader(bytes.TrimPrefix(content, []byte("\ufeff"))))
	decoder.CharsetReader = func(charset string, in io.Reader) (io.Reader, error) {
		if strings.EqualFold(charset, "us-ascii") {
			return in, nil
		}
		return nil, errors.New("its encoding is not UTF-8")
	}
	for {
		token, err := decoder.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			return &Fault{Broken, say.That("is broken (%cause)", say.Foreign(err.Error())), say.That("Open it in a drawing program and save it as plain SVG.")}
		}
		if f := c.take(token); f != nil {
			return f
		}
	}
	if c.root == nil {
		return notSVG()
	}
	return nil
}

func notSVG() *Fault {
	return &Fault{NotPicture, say.That("is not an SVG"), say.That("Save it as JPEG, PNG or SVG.")}
}

// take works one token of the document in.
func (c *cleaner) take(token xml.Token) *Fault {
	switch t := token.(type) {
	case xml.Directive:
		if bytes.ContainsAny(t, "[&%") {
			return &Fault{Unusable, say.That("declares entities"), say.That("Save it as plain SVG.")}
		}
	case xml.ProcInst:
		if t.Target == "xml-stylesheet" {
			c.report("style sheet of another file")
		}
	case xml.StartElement:
		return c.start(t)
	case xml.EndElement:
		if c.skipping > 0 {
			c.skipping--
		} else {
			c.open = c.open[:len(c.open)-1]
		}
	case xml.CharData:
		c.addText(string(t))
	}
	return nil
}

// start works the start of an element in.
func (c *cleaner) start(t xml.StartElement) *Fault {
	if c.elements++; c.elements > maxElements {
		return &Fault{TooLarge, say.That("has more than %most elements", say.Count(maxElements)), say.That("Simplify it.")}
	}
	if len(c.open)+c.skipping >= maxDepth {
		return &Fault{TooLarge, say.That("nests elements more than %most deep", say.Count(maxDepth)), say.That("Ungroup some of them.")}
	}
	ours := t.Name.Space == svgSpace || t.Name.Space == ""
	switch {
	case c.root == nil:
		if !ours || t.Name.Local != "svg" {
			return notSVG()
		}
		c.root = &node{name: "svg", attributes: c.attributes(t.Attr)}
		c.open = append(c.open, c.root)
	case len(c.open) == 0, c.skipping > 0, !ours:
		c.skipping++
	case unwrapped[t.Name.Local]:
		c.report("element " + t.Name.Local)
		c.open = append(c.open, c.open[len(c.open)-1])
	case allowedElements[t.Name.Local]:
		n := &node{name: t.Name.Local, attributes: c.attributes(t.Attr)}
		parent := c.open[len(c.open)-1]
		parent.children = append(parent.children, n)
		c.open = append(c.open, n)
	default:
		if !silentElements[t.Name.Local] {
			c.report("element " + t.Name.Local)
		}
		c.skipping++
	}
	return nil
}

// addText keeps text where text is drawn or read out, and style rules after cleaning.
func (c *cleaner) addText(text string) {
	if c.skipping > 0 || len(c.open) == 0 {
		return
	}
	parent := c.open[len(c.open)-1]
	if holdsText[parent.name] {
		parent.children = append(parent.children, &node{text: text})
	}
}

// cleanStyles leaves style elements their allowed rules, as text alone.
func (c *cleaner) cleanStyles(n *node) {
	for _, child := range n.children {
		if child.name != "style" {
			c.cleanStyles(child)
			continue
		}
		var sheet strings.Builder
		for _, piece := range child.children {
			sheet.WriteString(piece.text)
		}
		child.children = []*node{{text: c.styleSheet(sheet.String())}}
	}
	n.children = slices.DeleteFunc(n.children, func(child *node) bool {
		return child.name == "style" && child.children[0].text == ""
	})
}

// report notes something that was taken out, once. A list of twenty says enough.
func (c *cleaner) report(what string) {
	if len(c.takenOut) < 20 && !slices.Contains(c.takenOut, what) {
		c.takenOut = append(c.takenOut, what)
	}
}

// attributes returns the allowed attributes of an element, each once.
func (c *cleaner) attributes(all []xml.Attr) []attribute {
	var kept []attribute
	for _, a := range all {
		name, value := c.attribute(a)
		if name != "" && !slices.ContainsFunc(kept, func(k attribute) bool { return k.name == name }) {
			kept = append(kept, attribute{name, value})
		}
	}
	return kept
}

// attribute returns what an attribute becomes; the name is empty when it goes.
func (c *cleaner) attribute(a xml.Attr) (name, value string) {
	name, value = a.Name.Local, strings.TrimSpace(a.Value)
	isHref := name == "href" && (a.Name.Space == "" || a.Name.Space == xlinkSpace || a.Name.Space == "xlink")
	switch {
	case a.Name.Space == "xmlns" || name == "xmlns":
		return "", ""
	case isHref:
		if !ownReference.MatchString(value) {
			c.report("link to outside")
			return "", ""
		}
		return name, value
	case a.Name.Space == xmlSpace && (name == "space" || name == "lang"):
		return "xml:" + name, value
	case a.Name.Space != "":
		return "", ""
	case name == "style":
		if value = c.declarations(value); value == "" {
			return "", ""
		}
		return name, value
	case freeAttributes[name]:
		return name, value
	case allowedAttributes[name]:
		if !c.isHarmless(value) {
			return "", ""
		}
		return name, value
	}
	if !silentAttributes[name] && !strings.HasPrefix(name, "data-") {
		c.report("attribute " + name)
	}
	return "", ""
}
