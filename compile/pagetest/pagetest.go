// Package pagetest reads emitted pages in tests: parse a page, find elements by
// a small selector, look at their words and attributes.
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
)

// Element is an element of a page.
type Element struct {
	Tag        string
	Attributes map[string]string
	parent     *Element
	children   []*Element
	pieces     []piece // words and child elements in order
}

// piece is a run of words, or a child element.
type piece struct {
	words string
	child *Element
}

// Parse reads a page. It takes HTML whose elements are all closed, but for the
// void ones, and fails for anything else: our templates write no other.
func Parse(page []byte) (*Element, error) {
	d := xml.NewDecoder(bytes.NewReader(page))
	d.Strict = false
	d.AutoClose = xml.HTMLAutoClose
	d.Entity = xml.HTMLEntity
	top := &Element{}
	at := top
	for {
		token, err := d.Token()
		switch {
		case errors.Is(err, io.EOF):
			if at != top {
				return nil, fmt.Errorf("<%s> is never closed", at.Tag)
			}
			return top, nil
		case err != nil:
			return nil, err
		}
		switch token := token.(type) {
		case xml.StartElement:
			e := &Element{Tag: token.Name.Local, Attributes: map[string]string{}, parent: at}
			for _, a := range token.Attr {
				e.Attributes[a.Name.Local] = a.Value
			}
			at.children = append(at.children, e)
			at.pieces = append(at.pieces, piece{child: e})
			at = e
		case xml.EndElement:
			if token.Name.Local != at.Tag {
				return nil, fmt.Errorf("</%s> closes <%s>", token.Name.Local, at.Tag)
			}
			at = at.parent
		case xml.CharData:
			at.pieces = append(at.pieces, piece{words: string(token)})
		}
	}
}

// Text returns the words in an element, with one space for any run of white
// space and between the cells, rows and blocks of the page.
func (e *Element) Text() string {
	var b strings.Builder
	e.write(&b)
	return strings.Join(strings.Fields(b.String()), " ")
}

func (e *Element) write(b *strings.Builder) {
	for _, p := range e.pieces {
		switch {
		case p.child == nil:
			b.WriteString(p.words)
		case inline(p.child.Tag):
			p.child.write(b)
		default:
			b.WriteByte(' ')
			p.child.write(b)
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

// All returns the elements that a selector matches, in the page's order. A
// selector is a list of simple ones with spaces between, each inside the one
// before: "tag.class", "#id", "[attribute]", "[attribute=value]" and any mix of these.
func (e *Element) All(selector string) []*Element {
	found := []*Element{e}
	for _, part := range strings.Fields(selector) {
		s := parseSimple(part)
		var next []*Element
		for _, f := range found {
			f.walk(func(c *Element) {
				if s.matches(c) && !slices.Contains(next, c) {
					next = append(next, c)
				}
			})
		}
		found = next
	}
	return found
}

// Texts returns the words of all elements that a selector matches.
func (e *Element) Texts(selector string) []string {
	var out []string
	for _, f := range e.All(selector) {
		out = append(out, f.Text())
	}
	return out
}

func (e *Element) walk(visit func(*Element)) {
	for _, c := range e.children {
		visit(c)
		c.walk(visit)
	}
}

type simple struct {
	tag        string
	classes    []string
	attributes map[string]string
	present    []string
}

var simplePart = regexp.MustCompile(`^([a-z0-9]+)|\.([a-z0-9-]+)|#([a-zA-Z0-9_-]+)|\[([a-z-]+)(?:=([^\]]*))?\]`)

func parseSimple(part string) simple {
	s := simple{attributes: map[string]string{}}
	for _, m := range simplePart.FindAllStringSubmatch(part, -1) {
		switch {
		case m[1] != "":
			s.tag = m[1]
		case m[2] != "":
			s.classes = append(s.classes, m[2])
		case m[3] != "":
			s.attributes["id"] = m[3]
		case strings.Contains(m[0], "="):
			s.attributes[m[4]] = m[5]
		default:
			s.present = append(s.present, m[4])
		}
	}
	return s
}

func (s simple) matches(e *Element) bool {
	if s.tag != "" && s.tag != e.Tag {
		return false
	}
	for _, c := range s.classes {
		if !slices.Contains(strings.Fields(e.Attributes["class"]), c) {
			return false
		}
	}
	for name, value := range s.attributes {
		if e.Attributes[name] != value {
			return false
		}
	}
	for _, name := range s.present {
		if _, ok := e.Attributes[name]; !ok {
			return false
		}
	}
	return true
}
