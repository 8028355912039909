package scorm

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"slices"
	"strings"
)

// rewriter makes a page of the site stand alone: what leads to other pages of
// the site goes, and the script that talks to the learning system comes in.
type rewriter struct {
	at      string // the page's site path
	address string // where the site is served; empty when nobody knows
}

// dropped are the classes of elements that only lead to other pages.
var dropped = []string{"crumbs", "quiz-paper", "for-authors"}

// piece is what takes the place of some bytes of the page.
type piece struct {
	start, end int64
	text       string
}

// rewrite returns the page and the site paths of the files that it needs.
func (r rewriter) rewrite(content []byte) (alone []byte, needs []string, err error) {
	d := xml.NewDecoder(bytes.NewReader(content))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	var pieces []piece
	var closing []string // what the open links end with
	scripted := false
	for {
		start := d.InputOffset()
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, nil, err
		}
		switch token := token.(type) {
		case xml.StartElement:
			switch {
			case slices.Contains(dropped, attribute(token, "class")):
				if err := d.Skip(); err != nil {
					return nil, nil, err
				}
				pieces = append(pieces, piece{start, d.InputOffset(), ""})
				continue
			case token.Name.Local == "a":
				opening, end := r.link(token)
				if opening != "" {
					pieces = append(pieces, piece{start, d.InputOffset(), opening})
				}
				closing = append(closing, end)
			case path.Base(attribute(token, "src")) == before:
				name := path.Join(path.Dir(attribute(token, "src")), script)
				pieces = append(pieces, piece{start, start, fmt.Sprintf("<script src=\"%s\" defer></script>\n", name)})
				needs = append(needs, r.path(name))
				scripted = true
			}
			needs = append(needs, r.files(token)...)
		case xml.EndElement:
			if token.Name.Local == "a" && len(closing) > 0 {
				if end := closing[len(closing)-1]; end != "" {
					pieces = append(pieces, piece{start, d.InputOffset(), end})
				}
				closing = closing[:len(closing)-1]
			}
		}
	}
	if !scripted {
		return nil, nil, fmt.Errorf("it lacks the script %s", before)
	}
	slices.Sort(needs)
	return replaced(content, pieces), slices.Compact(needs), nil
}

// link returns what a link's tags become: nothing new within the page, words or
// a link to the served site for another page of it.
func (r rewriter) link(a xml.StartElement) (opening, end string) {
	to := attribute(a, "href")
	if strings.HasPrefix(to, "#") || strings.Contains(to, ":") {
		return "", ""
	}
	if r.address == "" {
		return "<span>", "</span>"
	}
	at, fragment, _ := strings.Cut(to, "#")
	to = strings.TrimSuffix(r.address, "/") + "/" + r.path(at)
	if fragment != "" {
		to += "#" + fragment
	}
	return fmt.Sprintf(`<a class="%s" href="%s" target="_blank" rel="noopener">`, escaped(attribute(a, "class")), escaped(to)), "</a>"
}

// files are the site paths of what an element loads.
func (r rewriter) files(e xml.StartElement) []string {
	var out []string
	switch e.Name.Local {
	case "script", "img":
		out = append(out, attribute(e, "src"))
		for _, candidate := range strings.Split(attribute(e, "srcset"), ",") {
			name, _, _ := strings.Cut(strings.TrimSpace(candidate), " ")
			out = append(out, name)
		}
	case "link":
		out = append(out, attribute(e, "href"))
	}
	out = slices.DeleteFunc(out, func(name string) bool { return name == "" })
	for i, name := range out {
		out[i] = r.path(name)
	}
	return out
}

// path is the site path of a link.
func (r rewriter) path(link string) string { return path.Join(path.Dir(r.at), link) }

func attribute(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

func replaced(content []byte, pieces []piece) []byte {
	var out bytes.Buffer
	from := int64(0)
	for _, p := range pieces {
		out.Write(content[from:p.start])
		out.WriteString(p.text)
		from = p.end
	}
	out.Write(content[from:])
	return out.Bytes()
}
