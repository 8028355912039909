package diagnostic

import (
	"matchmark/procedure/rewrite"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// Fix is a way to put a fault right by changing the author's text.
type Fix struct {
	// Title says what it does.
	Title say.Text
	Edits []rewrite.Edit
	// Safe is true when nothing else can have been meant, so that it may be carried out unasked.
	Safe bool
}

// Replace is a fix that writes other words in a place.
func Replace(span text.Span, words string, safe bool) Fix {
	title := say.That("Write %new instead of %old.", say.Quote(words), say.Quote(span.Text()))
	return Fix{title, []rewrite.Edit{{Span: span, Text: words}}, safe}
}

// Insert is a fix that writes words at the start of a place.
func Insert(span text.Span, words string, safe bool) Fix {
	span.End = span.Start
	return Fix{say.That("Write %new here.", say.Quote(words)), []rewrite.Edit{{Span: span, Text: words}}, safe}
}

// Remove is a fix that takes a place out.
func Remove(span text.Span, safe bool) Fix {
	return Fix{say.That("Take %old out.", say.Quote(span.Text())), []rewrite.Edit{{Span: span}}, safe}
}

// SafeFix is the first fix that may be carried out unasked; nil when there is none.
func (d Diagnostic) SafeFix() *Fix {
	for i := range d.Fixes {
		if d.Fixes[i].Safe {
			return &d.Fixes[i]
		}
	}
	return nil
}

// Suggest gives the advice on a word that is none of the candidates: "Did you mean ...?"
// with a fix when one is near, else the other advice. The fix is safe when no other
// candidate is near and the two differ by a slip of the pen.
func Suggest(span text.Span, word string, candidates []string, otherwise say.Text) (say.Text, []Fix) {
	near, others := nearest(word, candidates)
	if near == "" {
		return otherwise, nil
	}
	advice := say.That("Did you mean %near?", say.Quote(near))
	if span.Text() != word {
		return advice, nil // the word is written in another way there
	}
	return advice, []Fix{Replace(span, near, others == 0 && slip(word, near))}
}
