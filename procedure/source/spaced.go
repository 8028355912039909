package source

import (
	"strings"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/measure"
	"matchmark/procedure/text"
)

// otherMarks are quotation marks that stand where only the straight double one counts, often put there by a word processor.
const otherMarks = "“”„«»‘’‚'"

// spacedValue reports a value of several words that has no straight quotation marks around it, such as {time=5 min}:
// the further words look like attributes of their own, and are marked so that nothing else is said about them.
// It returns false for any other value.
func (r *reader) spacedValue(b *block, i int, a *Attribute) bool {
	v := &b.values[i]
	if !v.bare(r.file.Source) {
		return false
	}
	marked := strings.IndexAny(v.text, otherMarks) == 0
	isWord := func(j int) bool { return !b.values[j].hasValue && b.kind.attribute(b.values[j].name) == nil }
	if !marked && (i+1 == len(b.values) || !isWord(i+1) || !goesOn(a, v.text, b.values[i+1].name)) {
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
	what := "the value of " + quote(v.name) + " has a space and no quotation marks"
	if marked {
		what = "the value of " + quote(v.name) + " stands in other quotation marks than the straight double ones"
	}
	words := strings.Trim(whole.Text(), otherMarks)
	do := "Write " + v.name + `="` + words + `".`
	if a.Type == Duration && !startsWithDigit(words) {
		do = "Write minutes: " + v.name + "=6, or " + v.name + "=4/6/10."
	}
	r.report("attribute-value", whole, what, do)
	return true
}

// bare reports whether a value stands without quotation marks.
func (v *value) bare(src []byte) bool {
	return v.hasValue && v.span.Start > 0 && src[v.span.Start-1] == '='
}

// goesOn reports whether the word behind a value of an attribute belongs to the value.
func goesOn(a *Attribute, value, word string) bool {
	switch a.Type {
	case Words, Path:
		return true
	case Names:
		return strings.HasSuffix(value, ",") || strings.HasPrefix(word, ",")
	case Amount, Duration:
		if !startsWithDigit(value) {
			return true
		}
		if a.Type == Duration && (word[0] == '/' || strings.HasSuffix(value, "/")) {
			return true
		}
		last := value[strings.LastIndexByte(value, '/')+1:]
		_, err := measure.Parse(last + " " + word)
		fault, ok := err.(*measure.ParseError)
		return err == nil || ok && fault.Suggest != ""
	}
	return false
}

func startsWithDigit(s string) bool { return s != "" && s[0] >= '0' && s[0] <= '9' }

func nearAttribute(k *BlockKind, word string) bool {
	var names []string
	for _, a := range k.Attributes {
		names = append(names, a.Name)
	}
	return diagnostic.Nearest(word, names) != ""
}
