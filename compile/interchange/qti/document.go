package qti

import (
	"bytes"
	"encoding/xml"
)

// document is an XML document while it is written. Every start has its end, so
// that it comes out well-formed.
type document struct {
	bytes.Buffer
	open []string
}

func newDocument() *document {
	d := &document{}
	d.WriteString(xml.Header)
	return d
}

// start opens an element with attributes given as names and values.
func (d *document) start(tag string, attributes ...string) {
	d.tag(tag, attributes, ">")
	d.open = append(d.open, tag)
}

// end closes the innermost n open elements.
func (d *document) end(n int) {
	for range n {
		d.close()
		d.line()
	}
}

// close closes the innermost element within running text.
func (d *document) close() {
	last := len(d.open) - 1
	d.WriteString("</" + d.open[last] + ">")
	d.open = d.open[:last]
}

// line starts a new line where white space means nothing: outside the running text.
func (d *document) line() { d.WriteByte('\n') }

// empty writes an element without content.
func (d *document) empty(tag string, attributes ...string) {
	d.tag(tag, attributes, "/>")
	d.line()
}

// leaf writes an element that holds text.
func (d *document) leaf(tag, text string, attributes ...string) {
	d.start(tag, attributes...)
	d.text(text)
	d.end(1)
}

func (d *document) text(s string) { _ = xml.EscapeText(d, []byte(s)) } // a buffer takes everything

func (d *document) tag(tag string, attributes []string, end string) {
	d.WriteString("<" + tag)
	for i := 0; i+1 < len(attributes); i += 2 {
		d.WriteString(" " + attributes[i] + `="`)
		d.text(attributes[i+1])
		d.WriteByte('"')
	}
	d.WriteString(end)
}

// finish closes what is open and returns the document.
func (d *document) finish() []byte {
	d.end(len(d.open))
	return d.Bytes()
}
