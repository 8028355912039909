package qti

import (
	"encoding/xml"
	"strings"
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

// markup writes an author's text, given as XHTML. Attributes and elements that
// are not kept leave their words. Where no blocks may stand, the ends of
// paragraphs become spaces. Links within the site lead to the address where it
// is served, or become words when nobody knows it.
func (d *document) markup(fragment string, blocks bool, address func(link string) string) {
	in := xml.NewDecoder(strings.NewReader("<x>" + fragment + "</x>"))
	in.Entity = xml.HTMLEntity
	var kept []bool
	for {
		token, err := in.Token()
		if err != nil {
			return // at the end: the reader of the dialect writes well-formed XHTML
		}
		switch token := token.(type) {
		case xml.StartElement:
			name := token.Name.Local
			keep := inline[name] || blocks && block[name]
			var attributes []string
			switch name {
			case "a":
				to := address(attribute(token, "href"))
				keep = to != ""
				attributes = []string{"href", to}
			case "ol":
				if first := attribute(token, "start"); first != "" {
					attributes = []string{"start", first}
				}
			}
			if name == "br" || name == "hr" {
				if keep {
					d.tag(name, nil, "/>")
				}
				keep = false
			} else if keep {
				d.start(name, attributes...)
			}
			kept = append(kept, keep)
		case xml.EndElement:
			last := len(kept) - 1
			switch {
			case kept[last]:
				d.close()
			case block[token.Name.Local]:
				d.WriteByte(' ')
			}
			kept = kept[:last]
		case xml.CharData:
			d.running(string(token))
		}
	}
}

// running writes text of a well-formed fragment, line breaks and all.
func (d *document) running(s string) {
	_, _ = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;").WriteString(d, s)
}

func attribute(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}
