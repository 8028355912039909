package procedure

import (
	"cmp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"matchmark/procedure/prose"
	"matchmark/procedure/text"
)

// Glossary says what the words of the trade mean that a library's texts use.
type Glossary struct {
	Title string
	// Summary is one line for lists.
	Summary string
	Span    text.Span
	About   Prose   `word:"introduction"`
	Terms   []*Term `word:"-"`
	File    *text.File

	// forms are the terms' forms by their first word, those of more words before those of fewer.
	forms map[string][]indexed
}

// Term is a word, or several that belong together, with what it means.
type Term struct {
	// Forms are the ways in which it is written, such as its plural; the first is the one that it is listed under.
	Forms   []Form
	Meaning Prose
	Span    text.Span
}

// Form is one way to write a term.
type Form struct {
	Words string
	Span  text.Span
}

// indexed is a form with the words that it is made of.
type indexed struct {
	term  *Term
	words []piece
	exact bool
}

// piece is one word of a text, and what stands between it and the one before.
type piece struct {
	start, end int
	word, gap  string
}

// Name is the form that the term is listed under.
func (t *Term) Name() string { return t.Forms[0].Words }

// IsShort reports whether the term is an abbreviation: two capitals or more and no small letter.
func (t *Term) IsShort() bool { return isShort(t.Name()) }

func isShort(words string) bool {
	capitals := 0
	for _, c := range words {
		if unicode.IsLower(c) {
			return false
		}
		if unicode.IsUpper(c) {
			capitals++
		}
	}
	return capitals > 1
}

// Key is the same for forms that a reader takes for one: case and what stands between words are of no account.
// It is empty for a form without a letter or a digit.
func (f Form) Key() string {
	var words []string
	for _, p := range pieces(f.Words) {
		words = append(words, strings.ToLower(p.word))
	}
	return strings.Join(words, "-")
}

// Index makes the glossary ready to be asked which terms a text uses. Call it once all terms are there.
func (g *Glossary) Index() {
	g.forms = map[string][]indexed{}
	for _, t := range g.Terms {
		for _, f := range t.Forms {
			if words := pieces(f.Words); len(words) > 0 {
				first := strings.ToLower(words[0].word)
				g.forms[first] = append(g.forms[first], indexed{t, words, isShort(f.Words)})
			}
		}
	}
	for _, forms := range g.forms {
		slices.SortStableFunc(forms, func(a, b indexed) int { return cmp.Compare(len(b.words), len(a.words)) })
	}
}

// Use is a term in a text, from byte Start to End.
type Use struct {
	Term       *Term
	Start, End int
}

// Uses are the terms that a text uses, in its order. An abbreviation is found in capitals only, any other term
// whatever its case; of two terms that begin with the same word the longer one is found. A nil glossary has no terms.
func (g *Glossary) Uses(words string) (out []Use) {
	if g == nil {
		return nil
	}
	text := pieces(words)
	for i := 0; i < len(text); i++ {
		for _, f := range g.forms[strings.ToLower(text[i].word)] {
			if f.in(text[i:]) {
				last := i + len(f.words) - 1
				out = append(out, Use{f.term, text[i].start, text[last].end})
				i = last
				break
			}
		}
	}
	return out
}

// in reports whether a text begins with the form.
func (f *indexed) in(text []piece) bool {
	if len(text) < len(f.words) {
		return false
	}
	for i, p := range f.words {
		same := p.word == text[i].word || !f.exact && strings.EqualFold(p.word, text[i].word)
		if !same || i > 0 && p.gap != text[i].gap {
			return false
		}
	}
	return true
}

// pieces takes a text apart into words of letters and digits.
func pieces(s string) (out []piece) {
	end := 0
	for at := 0; at < len(s); {
		c, size := utf8.DecodeRuneInString(s[at:])
		if !isWord(c) {
			at += size
			continue
		}
		start := at
		for at < len(s) {
			c, size := utf8.DecodeRuneInString(s[at:])
			if !isWord(c) {
				break
			}
			at += size
		}
		gap := s[end:start]
		if strings.TrimSpace(gap) == "" {
			gap = " "
		}
		out = append(out, piece{start, at, s[start:at], gap})
		end = at
	}
	return out
}

func isWord(c rune) bool { return unicode.IsLetter(c) || unicode.IsDigit(c) || unicode.IsMark(c) }

// UsedIn are the terms that a page shows in a step, each once, in the order of the page: in its title and words, and
// in the names of the things that it acts on. Without a machine these have no names.
func (g *Glossary) UsedIn(on Page, m *Machine, s *Step) (out []*Term) {
	if g == nil {
		return nil
	}
	read := func(words string) {
		for _, u := range g.Uses(words) {
			if !slices.Contains(out, u.Term) {
				out = append(out, u.Term)
			}
		}
	}
	read(s.Title)
	for _, b := range s.Blocks {
		on.On(b).eachText(m, read)
	}
	return out
}

// eachText calls take with what a page shows, in its order: titles, names, and the paragraphs of running text.
func (x Shown) eachText(m *Machine, take func(words string)) {
	prose := func(p Prose) {
		for _, q := range p.Paragraphs() {
			take(q.Text)
		}
	}
	if x.Warning != nil {
		prose(x.Warning.Prose)
	}
	if x.Text != nil {
		prose(*x.Text)
	}
	if x.Point != nil {
		take(x.Point.Point)
		prose(x.Point.Reason)
	}
	for _, a := range x.Actions {
		for _, ref := range append([]Ref{a.Object}, a.With...) {
			if m == nil {
				break
			}
			if t := m.Thing(ref.ID); t != nil {
				take(t.Row.Name)
			}
		}
		prose(a.Reason)
	}
	if x.Looks != nil {
		for _, item := range x.Looks.Items {
			take(item.Look)
			prose(item.Accept)
		}
	}
	for _, words := range []*Prose{x.Must, x.Advice} {
		if words != nil {
			prose(*words)
		}
	}
	if x.Hold != nil {
		take(x.Hold.Title)
		for _, c := range x.Hold.Confirmations {
			prose(c)
		}
	}
}

// Marked returns a text with the first use of each of some terms marked, and the terms that it does not use.
// Words of links and in code marks stay as they are.
func (g *Glossary) Marked(p Prose, terms []*Term) (Prose, []*Term) {
	if len(terms) == 0 {
		return p, nil
	}
	left := slices.Clone(terms)
	nodes := g.marked(p.Nodes, &left)
	if len(left) < len(terms) {
		p.Nodes = nodes
	}
	return p, left
}

func (g *Glossary) marked(nodes []prose.Node, left *[]*Term) (out []prose.Node) {
	for len(nodes) > 0 {
		n := nodes[0]
		var inside []prose.Node
		inside, nodes = prose.First(nodes)
		switch n.Kind {
		case prose.StepLink, prose.WebLink, prose.CodeBlock:
		case prose.Text:
			out = append(out, g.markedText(n, left)...)
			continue
		default:
			inside = g.marked(inside, left)
		}
		n.Inside = int32(len(inside))
		out = append(append(out, n), inside...)
	}
	return out
}

func (g *Glossary) markedText(n prose.Node, left *[]*Term) (out []prose.Node) {
	words, at := n.Text, 0
	piece := func(to int) {
		if to > at {
			part := n
			part.Text = words[at:to]
			out = append(out, part)
			at = to
		}
	}
	for _, u := range g.Uses(words) {
		i := slices.Index(*left, u.Term)
		if i < 0 {
			continue
		}
		*left = slices.Delete(*left, i, i+1)
		piece(u.Start)
		out = append(out, prose.Node{Kind: prose.Term, Inside: 1})
		piece(u.End)
	}
	piece(len(words))
	return out
}
