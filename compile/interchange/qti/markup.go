package qti

import (
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/xhtml"
)

// inline and block are the elements of HTML that an item's text keeps. QTI has
// these and more; an author's prose has no others.
//
// Source: 1EdTech, QTI 3.0 Assessment, Section and Item: content of item bodies.
var (
	inline = map[string]bool{"a": true, "br": true, "code": true, "em": true, "strong": true}
	block  = map[string]bool{
		"p": true, "ul": true, "ol": true, "li": true, "blockquote": true, "pre": true, "hr": true,
		"h2": true, "h3": true, "h4": true, "h5": true, "h6": true,
		"table": true, "thead": true, "tbody": true, "tr": true, "th": true, "td": true,
	}
)

// markup is where an author's text goes in a document.
type markup struct {
	*document
	// blocks is whether blocks may stand there.
	blocks  bool
	address func(link string) string
	// kept says of each open element whether it is in the document.
	kept []bool
}

// markup writes an author's text. Attributes and elements that are not kept
// leave their words. Where no blocks may stand, the ends of paragraphs become
// spaces. Links within the site lead to the address where it is served, or
// become words when nobody knows it.
func (d *document) markup(p procedure.Prose, blocks bool, address func(link string) string) {
	xhtml.Write(&markup{document: d, blocks: blocks, address: address}, p.Nodes)
}

func (m *markup) keeps(tag string) bool { return inline[tag] || m.blocks && block[tag] }

// Start implements xhtml.Sink.
func (m *markup) Start(tag string, attributes ...string) {
	keep := m.keeps(tag)
	switch tag {
	case "a":
		to := m.address(attributes[1]) // of href, the first one
		keep, attributes = to != "", []string{"href", to}
	case "ol":
	default:
		attributes = nil
	}
	if keep {
		m.start(tag, attributes...)
	}
	m.kept = append(m.kept, keep)
}

// End implements xhtml.Sink.
func (m *markup) End(tag string) {
	last := len(m.kept) - 1
	switch {
	case m.kept[last]:
		m.close()
	case block[tag]:
		m.WriteByte(' ')
	}
	m.kept = m.kept[:last]
}

// Empty implements xhtml.Sink.
func (m *markup) Empty(tag string) {
	switch {
	case m.keeps(tag):
		m.tag(tag, nil, "/>")
	case block[tag]:
		m.WriteByte(' ')
	}
}

var escaper = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;")

// Text implements xhtml.Sink.
func (m *markup) Text(words string) { _, _ = escaper.WriteString(m, words) }
