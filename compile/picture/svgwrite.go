package picture

import (
	"bytes"
	"strings"
)

var (
	escapeText      = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", "\r", "&#13;")
	escapeAttribute = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;", "\t", "&#9;", "\n", "&#10;", "\r", "&#13;")
)

// write puts an element down in the one way we write XML.
func (n *node) write(b *bytes.Buffer) {
	if n.name == "" {
		b.WriteString(escapeText.Replace(n.text))
		return
	}
	b.WriteString("<" + n.name)
	for _, a := range n.attributes {
		b.WriteString(" " + a.name + `="` + escapeAttribute.Replace(a.value) + `"`)
	}
	if len(n.children) == 0 {
		b.WriteString("/>")
		return
	}
	b.WriteByte('>')
	for _, child := range n.children {
		child.write(b)
	}
	b.WriteString("</" + n.name + ">")
}
