package source

import (
	"slices"
	"strings"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/grammar"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// otherMarks are quotation marks that stand where only the straight double one counts, often put there by a word processor.
const otherMarks = "“”„«»‘’‚'"

// spacedValue reports a value of several words that has no straight quotation marks around it, such as {time=5 min}:
// the further words look like attributes of their own, and are marked so that nothing else is said about them.
// It returns false for any other value.
func (r *reader) spacedValue(b *block, i int, a *grammar.Attribute) bool {
	v := &b.values[i]
	if !v.bare(r.file.Source) {
		return false
	}
	marked := strings.IndexAny(v.text, otherMarks) == 0
	isWord := func(j int) bool { return !b.values[j].hasValue && b.kind.Attribute(b.values[j].name) == nil }
	if !marked && (i+1 == len(b.values) || !isWord(i+1) || !r.goesOn(a, v.text, b.values[i+1].name)) {
		return false
	}
	end := v.span.End
	for j := i + 1; j < len(b.values); j++ {
		next := &b.values[j]
		if !isWord(j) || !marked && nearAttribute(b.kind, next.name) {
			break
		}
		next.stray, end = true, next.span.End
		if marked && strings.TrimRight(next.name, otherMarks) != next.name {
			break
		}
	}
	if !marked && end == v.span.End {
		return false
	}
	whole := text.Span{File: v.span.File, Start: v.span.Start, End: end}
	what := say.That("the value of %name has a space and no quotation marks", say.Quote(v.name))
	if marked {
		what = say.That("the value of %name stands in other quotation marks than the straight double ones", say.Quote(v.name))
	}
	words := strings.Trim(whole.Text(), otherMarks)
	do := say.That(`Write %name="%words".`, say.Word(v.name), say.Name(words))
	if a.Type == grammar.Duration && !startsWithDigit(words) {
		do = say.That("Write minutes: %name=6, or %name=4/6/10.", say.Word(v.name))
	}
	r.report("attribute-value", whole, what, do, r.quoted(a, whole, words, marked)...)
	return true
}

// quoted puts a value of several words into straight quotation marks. Marks of another kind say
// themselves where it ends; without any it must be a quantity as a whole.
func (r *reader) quoted(a *grammar.Attribute, whole text.Span, words string, marked bool) []diagnostic.Fix {
	if words == "" || strings.ContainsAny(words, otherMarks+"\"{}=\\") {
		return nil
	}
	safe := marked
	switch a.Type {
	case grammar.Amount:
		_, err := r.numbers.Parse(words)
		safe = err == nil
	case grammar.Duration:
		_, _, _, err := r.numbers.ParseEstimate(words)
		safe = err == nil
	}
	return []diagnostic.Fix{diagnostic.Replace(whole, `"`+words+`"`, safe)}
}

// bare reports whether a value stands without quotation marks.
func (v *value) bare(src []byte) bool {
	return v.hasValue && v.span.Start > 0 && src[v.span.Start-1] == '='
}

// goesOn reports whether the word behind a value of an attribute belongs to the value.
func (r *reader) goesOn(a *grammar.Attribute, value, word string) bool {
	switch a.Type {
	case grammar.Words, grammar.Path:
		return true
	case grammar.Names:
		return strings.HasSuffix(value, ",") || strings.HasPrefix(word, ",") || slices.Contains(ands, " "+word+" ")
	case grammar.Amount, grammar.Duration:
		if !startsWithDigit(value) {
			return true
		}
		if a.Type == grammar.Duration && (word[0] == '/' || strings.HasSuffix(value, "/")) {
			return true
		}
		last := value[strings.LastIndexByte(value, '/')+1:]
		_, err := r.numbers.Parse(last + " " + word)
		fault, ok := err.(*measure.ParseError)
		return err == nil || ok && fault.Suggest != ""
	}
	return false
}

func startsWithDigit(s string) bool { return s != "" && s[0] >= '0' && s[0] <= '9' }

func nearAttribute(k *grammar.BlockKind, word string) bool {
	var names []string
	for _, a := range k.Attributes {
		names = append(names, a.Name)
	}
	return diagnostic.Nearest(word, names) != ""
}
