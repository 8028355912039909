// Package pagetest reads emitted pages in tests: parse a page, find elements by
// CSS selectors, look at their words and attributes.
package pagetest

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/andybalholm/cascadia"
	"golang.org/x/net/html"

	"matchmark/themes"
)

// Element is an element of a page.
type Element struct {
	Tag        string
	Attributes map[string]string
	node       *html.Node
}

func elementOf(node *html.Node) *Element {
	e := &Element{Tag: node.Data, Attributes: map[string]string{}, node: node}
	for _, a := range node.Attr {
		e.Attributes[a.Key] = a.Val
	}
	return e
}

// Parse reads a page. It takes HTML whose elements are all closed, but for the
// void ones, and fails for anything else: our pages have no other.
func Parse(t testing.TB, page []byte) *Element {
	t.Helper()
	e, err := parse(page)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func parse(page []byte) (*Element, error) {
	d := xml.NewDecoder(bytes.NewReader(page))
	d.Strict = false
	d.AutoClose = xml.HTMLAutoClose
	d.Entity = xml.HTMLEntity
	top := &html.Node{Type: html.ElementNode}
	at := top
	for {
		token, err := d.Token()
		switch {
		case errors.Is(err, io.EOF):
			if at != top {
				return nil, fmt.Errorf("<%s> is never closed", at.Data)
			}
			return elementOf(top), nil
		case err != nil:
			return nil, err
		}
		switch token := token.(type) {
		case xml.StartElement:
			e := &html.Node{Type: html.ElementNode, Data: token.Name.Local}
			for _, a := range token.Attr {
				e.Attr = append(e.Attr, html.Attribute{Key: a.Name.Local, Val: a.Value})
			}
			at.AppendChild(e)
			at = e
		case xml.EndElement:
			if token.Name.Local != at.Data {
				return nil, fmt.Errorf("</%s> closes <%s>", token.Name.Local, at.Data)
			}
			at = at.Parent
		case xml.CharData:
			at.AppendChild(&html.Node{Type: html.TextNode, Data: string(token)})
		}
	}
}

// Page reads one of the files of a site, by its path there.
func Page(t testing.TB, files map[string][]byte, at string) *Element {
	t.Helper()
	content, there := files[at]
	if !there {
		t.Fatalf("there is no page %s", at)
	}
	e, err := parse(content)
	if err != nil {
		t.Fatalf("%s: %v", at, err)
	}
	return e
}

// Theme returns the theme that is part of the program.
func Theme(t testing.TB) *themes.Theme {
	t.Helper()
	theme, err := themes.Load()
	if err != nil {
		t.Fatal(err)
	}
	return theme
}

// Text returns the words in an element, with one space for any run of white
// space and between the cells, rows and blocks of the page.
func (e *Element) Text() string {
	var b strings.Builder
	write(&b, e.node)
	return strings.Join(strings.Fields(b.String()), " ")
}

func write(b *strings.Builder, node *html.Node) {
	for c := range node.ChildNodes() {
		switch {
		case c.Type == html.TextNode:
			b.WriteString(c.Data)
		case inline(c.Data):
			write(b, c)
		default:
			b.WriteByte(' ')
			write(b, c)
			b.WriteByte(' ')
		}
	}
}

// Expect compares the words of the elements that selectors match with what is wanted.
func Expect(t testing.TB, p *Element, want map[string][]string) {
	t.Helper()
	for _, selector := range slices.Sorted(maps.Keys(want)) {
		if got := p.Texts(selector); !slices.Equal(got, want[selector]) {
			t.Errorf("%s:\ngot  %q\nwant %q", selector, got, want[selector])
		}
	}
}

// inline reports whether an element stands in the line of the words around it.
func inline(tag string) bool {
	switch tag {
	case "a", "b", "code", "em", "i", "small", "span", "strong", "sub", "sup":
		return true
	}
	return false
}

// bare is a value that stands in a selector without quotation marks.
var bare = regexp.MustCompile(`=([^"\]]+)\]`)

// All returns the elements that a CSS selector matches, in the page's order. Values in it need no quotation marks.
func (e *Element) All(selector string) []*Element {
	var out []*Element
	for _, node := range cascadia.QueryAll(e.node, cascadia.MustCompile(bare.ReplaceAllString(selector, `="$1"]`))) {
		out = append(out, elementOf(node))
	}
	return out
}

// Texts returns the words of all elements that a selector matches.
func (e *Element) Texts(selector string) []string {
	var out []string
	for _, f := range e.All(selector) {
		out = append(out, f.Text())
	}
	return out
}
