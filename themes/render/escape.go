package render

import (
	"html/template"
	"reflect"
	"strings"
)

// escaper appends a text in the form that its place on the page asks for. Each
// does what html/template does there, and is tested against it.
type escaper func(dst []byte, s string) []byte

var (
	htmlType = reflect.TypeFor[template.HTML]()
	urlType  = reflect.TypeFor[template.URL]()
	cssType  = reflect.TypeFor[template.CSS]()
)

// escaperFor returns what the named escapers of html/template do together, one
// after the other, to text of a type; nil when there is nothing for it.
func escaperFor(names string, typ reflect.Type) escaper {
	switch names {
	case "_html_template_htmlescaper":
		if typ == htmlType {
			return appendPlain
		}
		return appendText
	case "_html_template_rcdataescaper":
		if typ == htmlType {
			return nil // entities in it stay, which no page of ours needs
		}
		return appendText
	case "_html_template_attrescaper":
		if typ == htmlType {
			return nil // its tags would have to be taken out
		}
		return appendText
	case "_html_template_urlfilter _html_template_urlnormalizer _html_template_attrescaper":
		if typ == urlType {
			return appendURL
		}
		return appendSafeURL
	case "_html_template_urlnormalizer _html_template_attrescaper":
		return appendURL
	case "_html_template_urlescaper _html_template_attrescaper":
		if typ == urlType {
			return appendURL
		}
		return appendURLPart
	case "_html_template_srcsetescaper _html_template_attrescaper":
		if typ == urlType || typ == reflect.TypeFor[template.Srcset]() {
			return nil
		}
		return appendSourceSet
	case "_html_template_cssvaluefilter":
		if typ == cssType {
			return appendPlain
		}
	}
	return nil
}

func appendPlain(dst []byte, s string) []byte { return append(dst, s...) }

// What becomes of a byte: it stays, or it is replaced in text, or it is replaced
// in a link, or it needs a closer look.
const (
	stays uint8 = iota
	entity
	percent
	look
)

var (
	inText    = actions(func(c byte) uint8 { return textAction(c) })
	inURL     = actions(func(c byte) uint8 { return urlAction(c, "!#$&*+,/:;=?@[]-._~") })
	inURLPart = actions(func(c byte) uint8 { return partAction(c) })
)

func actions(of func(c byte) uint8) (table [256]uint8) {
	for c := range table {
		table[c] = of(byte(c))
	}
	return table
}

func textAction(c byte) uint8 {
	if strings.IndexByte("\x00\"&'+<>", c) >= 0 {
		return entity
	}
	return stays
}

// urlAction keeps letters, digits and the given marks; of these, & and + are entities in an attribute.
func urlAction(c byte, marks string) uint8 {
	switch {
	case c == '%':
		return look
	case !inWord(c) && strings.IndexByte(marks, c) < 0, c == '$' && !strings.Contains(marks, "$"):
		return percent
	}
	return textAction(c)
}

func partAction(c byte) uint8 {
	if c == '%' {
		return percent
	}
	return urlAction(c, "-._~")
}

func entityOf(c byte) string {
	switch c {
	case '"':
		return "&#34;"
	case '&':
		return "&amp;"
	case '\'':
		return "&#39;"
	case '+':
		return "&#43;"
	case '<':
		return "&lt;"
	case '>':
		return "&gt;"
	}
	return "\uFFFD" // for the byte 0
}

// appendText escapes for text between tags and for an attribute in quotes.
func appendText(dst []byte, s string) []byte { return appendBy(&inText, dst, s) }

// appendURL escapes the characters that cannot stand in a link as they are.
func appendURL(dst []byte, s string) []byte { return appendBy(&inURL, dst, s) }

// appendURLPart escapes a piece of a query or a fragment, marks of a link included.
func appendURLPart(dst []byte, s string) []byte { return appendBy(&inURLPart, dst, s) }

// appendSafeURL is appendURL for a whole link, which must not run anything.
func appendSafeURL(dst []byte, s string) []byte {
	if !isSafeURL(s) {
		return append(dst, unsafeURL...)
	}
	return appendURL(dst, s)
}

func appendBy(table *[256]uint8, dst []byte, s string) []byte {
	done := 0
	for i := 0; i < len(s); i++ {
		c := s[i]
		action := table[c]
		if action == stays || action == look && i+2 < len(s) && isHex(s[i+1]) && isHex(s[i+2]) {
			continue
		}
		dst = append(dst, s[done:i]...)
		if action == entity {
			dst = append(dst, entityOf(c)...)
		} else {
			dst = append(dst, '%', hex[c>>4], hex[c&15])
		}
		done = i + 1
	}
	return append(dst, s[done:]...)
}

const hex = "0123456789abcdef"

func isHex(c byte) bool {
	return '0' <= c && c <= '9' || 'a' <= c && c <= 'f' || 'A' <= c && c <= 'F'
}

// unsafeURL stands where a link would run something.
const unsafeURL = "#ZgotmplZ"

// isSafeURL reports whether a link is relative or names a protocol that only leads somewhere.
func isSafeURL(s string) bool {
	protocol, _, ok := strings.Cut(s, ":")
	return !ok || strings.Contains(protocol, "/") ||
		strings.EqualFold(protocol, "http") || strings.EqualFold(protocol, "https") || strings.EqualFold(protocol, "mailto")
}

// appendSourceSet escapes a list of links to pictures, each with its size.
func appendSourceSet(dst []byte, s string) []byte {
	for i, entry := range strings.Split(s, ",") {
		if i > 0 {
			dst = append(dst, ',')
		}
		dst = appendSource(dst, entry)
	}
	return dst
}

func appendSource(dst []byte, s string) []byte {
	const spaces = " \t\n\f\r"
	link := strings.TrimLeft(s, spaces)
	lead := s[:len(s)-len(link)]
	size := ""
	if i := strings.IndexAny(link, spaces); i >= 0 {
		link, size = link[:i], link[i:]
	}
	if !isSafeURL(link) || !isSizeOf(size, spaces) {
		return append(dst, unsafeURL...)
	}
	dst = append(dst, lead...)
	dst = appendURL(dst, link)
	return append(dst, size...)
}

// isSizeOf reports whether the words behind a link are letters and digits only.
func isSizeOf(s, spaces string) bool {
	for i := range len(s) {
		if c := s[i]; (!inWord(c) || c == '_' || c == '$') && strings.IndexByte(spaces, c) < 0 {
			return false
		}
	}
	return true
}
