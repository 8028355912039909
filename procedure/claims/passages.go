package claims

import (
	"iter"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/prose"
	"matchmark/procedure/text"
	"matchmark/procedure/wording"
)

// Role says what a sentence is for.
type Role int

// The roles.
const (
	Telling    Role = iota // tells the learner what to do
	Confirming             // of a hold point
	Explaining             // warns, advises or gives a reason
)

// Sentence is one sentence of a step, or a title.
type Sentence struct {
	Text string
	Span text.Span
	Role Role

	words []string
	in    procedure.Paragraph
	start int // of the sentence in the paragraph
}

// spanOf is the place of a part of the sentence.
func (s *Sentence) spanOf(start, end int) text.Span {
	if at := s.in.SpanOf(s.start+start, s.start+end); at.Valid() {
		return at
	}
	return s.Span
}

// Sentences goes through all words of a step that somebody reads at the bench, in order. Names in code marks stand in
// them as one word each, so that no value that a row prints is taken for a claim.
func Sentences(s *procedure.Step, n *Names) iter.Seq[*Sentence] {
	return func(yield func(*Sentence) bool) {
		for _, b := range s.Blocks {
			shown, role := b.Shows(), Explaining
			switch {
			case shown.Looks != nil:
				continue // limits of what is found, which no row states
			case shown.Text != nil:
				role = Telling
			case shown.Hold != nil:
				role = Confirming
			}
			if p := shown.Point; p != nil && p.Point != "" {
				title := &Sentence{Text: p.Point, Span: b.Place().Line(), Role: Explaining}
				title.words = n.words(title.Text)
				if !yield(title) {
					return
				}
			}
			for _, p := range procedure.Texts(b) {
				if !sentences(*p, role, n, yield) {
					return
				}
			}
		}
	}
}

// SentencesOf goes through the sentences of a text.
func SentencesOf(p procedure.Prose, n *Names) iter.Seq[*Sentence] {
	return func(yield func(*Sentence) bool) { sentences(p, Explaining, n, yield) }
}

func sentences(p procedure.Prose, role Role, n *Names, yield func(*Sentence) bool) bool {
	p = p.With(prose.Mention, func(n *prose.Node) { n.Text = marker + n.To })
	for _, q := range p.Paragraphs() {
		for r := range wording.Sentences(q.Text) {
			s := &Sentence{Text: q.Text[r.Start:r.End], Span: q.SpanOf(r.Start, r.End), Role: role, in: q, start: r.Start}
			s.words = n.read(wordsWithMarks(s.Text))
			if !yield(s) {
				return false
			}
		}
	}
	return true
}

// wordsWithMarks are the words of a sentence, in which a name in code marks is one word.
func wordsWithMarks(s string) (out []string) {
	if !strings.Contains(s, marker) {
		return words(s)
	}
	for _, f := range strings.Fields(s) {
		if strings.HasPrefix(f, marker) {
			out = append(out, strings.TrimRight(f, ".,;:!?)"))
			continue
		}
		out = append(out, words(f)...)
	}
	return out
}
