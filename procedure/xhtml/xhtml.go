// Package xhtml writes prose as elements of XHTML. Only these elements can come
// out of an author's text, and all its words come out as words.
package xhtml

import (
	"strings"

	"matchmark/procedure/prose"
)

// Sink takes the elements and the words of prose in their order, and gives them their form.
type Sink interface {
	// Start opens an element with attributes given as names and values; End closes the innermost one.
	Start(tag string, attributes ...string)
	End(tag string)
	// Empty writes an element without content.
	Empty(tag string)
	// Text writes words, and the line ends between elements. Attributes and words are not escaped yet.
	Text(words string)
}

// Write hands a tree to a sink, each block on a line of its own. Headings are
// moved one level down, below the page's own.
func Write(to Sink, nodes []prose.Node) {
	for len(nodes) > 0 {
		n := &nodes[0]
		var inside []prose.Node
		inside, nodes = prose.First(nodes)
		write(to, n, inside)
		if n.Kind.IsBlock() && len(nodes) > 0 {
			to.Text("\n")
		}
	}
}

func write(to Sink, n *prose.Node, inside []prose.Node) {
	switch n.Kind {
	case prose.Line:
		Write(to, inside)
	case prose.Heading:
		element(to, headings[n.Level], inside)
	case prose.List, prose.NumberedList, prose.Quotation:
		lines(to, tags[n.Kind], inside, given("start", "", n.To)...)
	case prose.Item:
		item(to, inside)
	case prose.CodeBlock:
		to.Start("pre")
		element(to, "code", inside, given("class", "language-", n.To)...)
		to.End("pre")
	case prose.Table:
		table(to, inside)
	case prose.HeadRow:
		row(to, "th", inside)
	case prose.Row:
		row(to, "td", inside)
	case prose.Rule:
		to.Empty("hr")
	case prose.StepLink:
		link(to, "#"+n.To, n.Text, inside)
	case prose.WebLink:
		link(to, n.To, n.Text, inside)
	case prose.Text:
		to.Text(legal(n.Text))
	case prose.Code:
		word(to, n.Text, "code")
	case prose.Mention:
		if n.Text == "" {
			word(to, n.To, "code")
		} else {
			word(to, n.Text, "em", "class", "mention")
		}
	case prose.Value:
		word(to, n.Text, "em", "class", "value", "data-value", n.To)
	case prose.SoftBreak:
		to.Text("\n")
	case prose.HardBreak:
		to.Empty("br")
		to.Text("\n")
	default:
		element(to, tags[n.Kind], inside)
	}
}

var tags = [...]string{
	prose.Paragraph: "p", prose.List: "ul", prose.NumberedList: "ol", prose.Quotation: "blockquote",
	prose.Cell: "td", prose.Emphasis: "em", prose.Strong: "strong", prose.Term: "dfn",
}

// headings are the elements of headings by level.
var headings = [...]string{1: "h2", "h3", "h4", "h5", "h6", "h6"}

// given is an attribute, or none when its value has nothing behind the prefix.
func given(name, prefix, value string) []string {
	if value == "" {
		return nil
	}
	return []string{name, prefix + legal(value)}
}

func element(to Sink, tag string, inside []prose.Node, attributes ...string) {
	to.Start(tag, attributes...)
	Write(to, inside)
	to.End(tag)
}

// lines writes an element whose content stands on lines of its own.
func lines(to Sink, tag string, inside []prose.Node, attributes ...string) {
	to.Start(tag, attributes...)
	to.Text("\n")
	if len(inside) > 0 {
		Write(to, inside)
		to.Text("\n")
	}
	to.End(tag)
}

// item writes an item of a list; its paragraphs without space around them are on the lines of the element.
func item(to Sink, inside []prose.Node) {
	to.Start("li")
	if len(inside) > 0 && inside[0].Kind != prose.Line {
		to.Text("\n")
	}
	Write(to, inside)
	last := prose.Line
	for rest := inside; len(rest) > 0; {
		last = rest[0].Kind
		_, rest = prose.First(rest)
	}
	if last != prose.Line {
		to.Text("\n")
	}
	to.End("li")
}

func table(to Sink, rows []prose.Node) {
	to.Start("table")
	to.Text("\n")
	_, body := prose.First(rows)
	lines(to, "thead", rows[:len(rows)-len(body)])
	to.Text("\n")
	if len(body) > 0 {
		lines(to, "tbody", body)
		to.Text("\n")
	}
	to.End("table")
}

func row(to Sink, tag string, cells []prose.Node) {
	to.Start("tr")
	to.Text("\n")
	for len(cells) > 0 {
		var inside []prose.Node
		inside, cells = prose.First(cells)
		element(to, tag, inside)
		to.Text("\n")
	}
	to.End("tr")
}

func link(to Sink, address, title string, inside []prose.Node) {
	element(to, "a", inside, append([]string{"href", legal(address)}, given("title", "", title)...)...)
}

func word(to Sink, text, tag string, attributes ...string) {
	to.Start(tag, attributes...)
	to.Text(legal(text))
	to.End(tag)
}

// legal returns words without the characters that XML has not: character
// references can name them.
//
// Source: W3C, Extensible Markup Language (XML) 1.0, fifth edition, section 2.2.
func legal(words string) string {
	foreign := func(c rune) bool { return c < ' ' && c != '\t' && c != '\n' || c == '\uFFFE' || c == '\uFFFF' }
	if !strings.ContainsFunc(words, foreign) {
		return words
	}
	return strings.Map(func(c rune) rune {
		switch {
		case c == '\r':
			return -1 // the end of a line is one character
		case foreign(c):
			return '\uFFFD'
		}
		return c
	}, words)
}

// String returns a tree as a well-formed fragment, without white space around it.
func String(nodes []prose.Node) string {
	size := 0
	for i := range nodes {
		size += len(nodes[i].Text) + len(nodes[i].To) + len("<strong></strong>")
	}
	var out fragment
	out.Grow(size)
	Write(&out, nodes)
	return strings.TrimSpace(out.String())
}

// fragment is a fragment while it is written.
type fragment struct{ strings.Builder }

// Start implements Sink.
func (f *fragment) Start(tag string, attributes ...string) {
	f.WriteByte('<')
	f.WriteString(tag)
	for i := 0; i+1 < len(attributes); i += 2 {
		f.WriteByte(' ')
		f.WriteString(attributes[i])
		f.WriteString(`="`)
		f.Text(attributes[i+1])
		f.WriteByte('"')
	}
	f.WriteByte('>')
}

// End implements Sink.
func (f *fragment) End(tag string) {
	f.WriteString("</")
	f.WriteString(tag)
	f.WriteByte('>')
}

// Empty implements Sink.
func (f *fragment) Empty(tag string) {
	f.WriteByte('<')
	f.WriteString(tag)
	f.WriteString(" />")
}

var escaper = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;")

// Text implements Sink.
func (f *fragment) Text(words string) {
	_, _ = escaper.WriteString(&f.Builder, words) // a builder takes everything
}
