package source

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/yuin/goldmark/ast"

	"matchmark/procedure"
	"matchmark/procedure/grammar"
	"matchmark/procedure/prose"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// glossary reads a glossary file: lists whose items are a term in bold and its meaning. Other text introduces them.
func (r *reader) glossary(m *frontMatter, doc ast.Node) *procedure.Glossary {
	var f glossaryFields
	r.decode(m, &f)
	g := &procedure.Glossary{Title: f.Title, Summary: f.Summary, Span: m.spanOf("kind"), File: r.file}
	var about []ast.Node
	lists := 0
	r.eachBlock(doc, grammar.InGlossary, func(n ast.Node) {
		list, ok := n.(*ast.List)
		if !ok {
			about = append(about, n)
			return
		}
		lists++
		for i := list.FirstChild(); i != nil; i = i.NextSibling() {
			if t := r.term(i); t != nil {
				g.Terms = append(g.Terms, t)
			}
		}
	}, func(*block) {})
	if lists == 0 {
		r.report("term-form", g.Span, say.That("this glossary has no terms"), say.That("Write a list: - **word**: what it means."))
	}
	g.About = r.prose(about)
	r.termsTwice(g)
	g.Index()
	return g
}

// term reads one item: its forms in bold with commas between them, a colon, and the meaning.
func (r *reader) term(item ast.Node) *procedure.Term {
	var nodes []ast.Node
	for n := item.FirstChild(); n != nil; n = n.NextSibling() {
		nodes = append(nodes, n)
	}
	all := r.prose(nodes)
	t := &procedure.Term{Span: r.spanOf(item)}
	if len(all.Nodes) == 0 || all.Nodes[0].Kind > prose.Line {
		r.noTerm(t.Span)
		return nil
	}
	first, rest := prose.First(all.Nodes)
	for len(first) > 0 && first[0].Kind == prose.Strong {
		var words []prose.Node
		words, first = prose.First(first)
		form := formOf(r.file, words)
		if form.Key() == "" {
			r.noTerm(t.Span)
			return nil
		}
		t.Forms = append(t.Forms, form)
		if len(first) > 1 && first[0].Kind == prose.Text && strings.TrimSpace(first[0].Text) == "," {
			first = first[1:]
		}
	}
	if len(t.Forms) == 0 {
		r.noTerm(t.Span)
		return nil
	}
	head := all.Nodes[0]
	head.Kind = prose.Paragraph
	first = withoutColon(first)
	head.Inside = int32(len(first))
	if len(first) > 0 {
		t.Meaning.Nodes = append([]prose.Node{head}, first...)
	}
	t.Meaning.Nodes = append(t.Meaning.Nodes, rest...)
	t.Meaning.Span = all.Span
	if t.Meaning.Plain() == "" {
		r.report("term-form", t.Forms[0].Span, say.That("%term has no meaning", say.Quote(t.Name())), say.That("Write it behind a colon: - **%term**: what it means.", say.Name(t.Name())))
	}
	return t
}

// noTerm reports an item that explains no word.
func (r *reader) noTerm(at text.Span) {
	r.report("term-form", at, say.That("this line does not begin with the word that it explains"), say.That("Write - **word**: what it means."))
}

// formOf is a form of a term; a colon that stands inside the bold words is none of it.
func formOf(file *text.File, words []prose.Node) procedure.Form {
	p := procedure.Prose{Span: text.Span{File: file}, Nodes: append([]prose.Node{{Kind: prose.Line, Inside: int32(len(words))}}, words...)}
	f := procedure.Form{Words: strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(p.Plain()), ":"))}
	for _, q := range p.Paragraphs() {
		f.Span = q.SpanOf(0, len(f.Words))
	}
	return f
}

// withoutColon is a text without the sign between a term and its meaning.
func withoutColon(nodes []prose.Node) []prose.Node {
	if len(nodes) == 0 || nodes[0].Kind != prose.Text {
		return nodes
	}
	n := nodes[0]
	short := strings.TrimSpace(n.Text)
	if sign, size := utf8.DecodeRuneInString(short); sign == ':' || unicode.Is(unicode.Pd, sign) {
		short = strings.TrimSpace(short[size:])
		if n.Text != strings.TrimRight(n.Text, " ") && short != "" {
			short += " "
		}
	}
	n.Start += int32(strings.LastIndex(n.Text, strings.TrimSpace(short)))
	n.Text = short
	if short == "" {
		nodes = nodes[1:]
		if len(nodes) > 0 && nodes[0].Kind >= prose.SoftBreak {
			nodes = nodes[1:] // the meaning begins on the next line
		}
		return nodes
	}
	return append([]prose.Node{n}, nodes[1:]...)
}

// termsTwice reports forms that an earlier term, or the term itself, has already.
func (r *reader) termsTwice(g *procedure.Glossary) {
	seen := map[string]text.Span{}
	for _, t := range g.Terms {
		for _, f := range t.Forms {
			if first, twice := seen[f.Key()]; twice {
				r.reportSee("repeated-term", f.Span, say.That("the term %term stands twice", say.Quote(f.Words)), say.That("Put both meanings into one line, or take one out."), first, say.That("the first one"))
				continue
			}
			seen[f.Key()] = f.Span
		}
	}
}
