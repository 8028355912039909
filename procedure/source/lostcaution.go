package source

import (
	"bytes"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/yuin/goldmark/ast"

	"matchmark/procedure"
	"matchmark/procedure/say"
)

// signalWords are the words that people begin a caution with, in the languages of the words table, and the signal word that each stands for.
var signalWords = map[string]procedure.Signal{
	"danger": procedure.Danger, "warning": procedure.WarningWord, "caution": procedure.CautionWord, "notice": procedure.Notice,
	"gefahr": procedure.Danger, "lebensgefahr": procedure.Danger, "warnung": procedure.WarningWord, "vorsicht": procedure.CautionWord,
	"achtung": procedure.CautionWord, "attention": procedure.CautionWord,
}

// signalAt is the signal word that some text begins with, as in "**CAUTION:** It is hot", "Warning! Hot" or "[!WARNING]"; "" for none.
func signalAt(words string) procedure.Signal {
	words = strings.TrimLeftFunc(words, func(c rune) bool { return !unicode.IsLetter(c) && !unicode.IsDigit(c) })
	end := strings.IndexFunc(words, func(c rune) bool { return !unicode.IsLetter(c) })
	if first, _ := utf8.DecodeRuneInString(words); end < 0 || end > 16 || !unicode.IsUpper(first) {
		return ""
	}
	if rest := strings.TrimLeft(words[end:], "*_ "); rest == "" || strings.IndexByte(":!]", rest[0]) < 0 {
		return ""
	}
	return signalWords[strings.ToLower(words[:end])]
}

// lostCaution reports text that begins as a caution does: it would not stand out, and nothing is checked of it.
func (r *reader) lostCaution(n ast.Node) {
	if !r.light || n.Lines().Len() == 0 {
		return
	}
	line := n.Lines().At(0)
	start, end := trim(r.src, line.Start, line.Stop)
	words := r.src[start:min(end, start+40)]
	if !bytes.ContainsAny(words, ":!]") {
		return
	}
	signal := signalAt(string(words))
	if signal == "" || r.inCaution(n) {
		return
	}
	r.report("caution-as-text", r.segment(start, end), say.That("this reads like a caution, and is shown as other text"),
		say.That("Write ::: caution %signal, what happens and how to avoid it on lines of their own, and ::: below.", say.Word(signal)))
}

// inCaution reports whether some text stands in a caution.
func (r *reader) inCaution(n ast.Node) bool {
	for p := n.Parent(); p != nil; p = p.Parent() {
		if f, ok := p.(*fence); ok && f.heading == nil {
			kind := kindOfLine(r.src[f.infoStart:f.infoEnd])
			return kind != nil && kind.Name == "caution"
		}
	}
	return false
}
