// Package say holds what matchmark says to people as a value: a line of English
// with places for parts, and the parts, each of a type. The words are put together
// when the line is printed, in the reader's language; until then code can compare
// lines by their parts and never has to read English.
//
// The English line in the code is the key of its translations:
//
//	say.That("the %part leaves in step %step while %ties(is|are) still in", say.Name(id), say.Step(n), ties)
//
// A place is % and a name. Places stand for the parts in the order in which they
// first come; a name may come again. A translation may put them in another order.
// %name(one|many) is the word that agrees with the number of a part, and %% a percent
// sign where a letter follows. All lines stand in catalogue.json, which a test holds
// against the code.
package say

import "strings"

// Text is a line with its parts. The zero Text says nothing.
type Text struct {
	pattern string
	parts   []Part
}

// That makes a text of an English line and its parts.
func That(pattern string, parts ...Part) Text { return Text{pattern, parts} }

// Empty reports whether the text says nothing.
func (t Text) Empty() bool { return t.pattern == "" }

// Pattern is the line with its places, the key of its translations.
func (t Text) Pattern() string { return t.pattern }

// Parts are what stands in the places of the line. They are not to be changed.
func (t Text) Parts() []Part { return t.parts }

// With is the text with the names and words in it changed.
func (t Text) With(change func(string) string) Text {
	if len(t.parts) > 0 {
		t.parts = withParts(t.parts, change)
	}
	return t
}

func withParts(parts []Part, change func(string) string) []Part {
	out := make([]Part, len(parts))
	for i, p := range parts {
		switch p := p.(type) {
		case Name:
			out[i] = Name(change(string(p)))
		case Word:
			out[i] = Word(change(string(p)))
		case Quote:
			out[i] = Quote(change(string(p)))
		case Foreign:
			out[i] = Foreign(change(string(p)))
		case List:
			out[i] = List{p.Join, withParts(p.Parts, change)}
		case Text:
			out[i] = p.With(change)
		default:
			out[i] = p
		}
	}
	return out
}

// String is the text in English.
func (t Text) String() string { return t.In(nil) }

// Language gives the words of another language by the English ones. A line that
// it lacks is said in English; nil is English.
type Language map[string]string

// Of is a whole line without places in the language.
func (l Language) Of(line string) string {
	if translated, ok := l[line]; ok {
		return translated
	}
	return line
}

// In is the text in a language.
func (t Text) In(l Language) string {
	if len(t.parts) == 0 && len(l) == 0 && strings.IndexByte(t.pattern, '%') < 0 {
		return t.pattern
	}
	var b strings.Builder
	t.write(&b, l)
	return b.String()
}

func (t Text) write(b *strings.Builder, l Language) {
	pattern := t.pattern
	names := Places(pattern)
	if other, ok := l[pattern]; ok {
		pattern = other
	}
	for pattern != "" {
		at := strings.IndexByte(pattern, '%')
		if at < 0 {
			break
		}
		b.WriteString(pattern[:at])
		p := placeAt(pattern[at:])
		t.fill(b, l, names, p)
		pattern = pattern[at+len(p.source):]
	}
	b.WriteString(pattern)
}

// fill writes what stands in a place.
func (t Text) fill(b *strings.Builder, l Language, names []string, p place) {
	if p.name == "" {
		b.WriteByte('%')
		return
	}
	for i, name := range names {
		if name != p.name || i >= len(t.parts) {
			continue
		}
		if !p.chooses {
			t.parts[i].write(b, l)
			return
		}
		if counted, ok := t.parts[i].(interface{ number() int }); ok && counted.number() == 1 {
			b.WriteString(p.one)
		} else {
			b.WriteString(p.many)
		}
		return
	}
	b.WriteString(p.source)
}

// place is a place in a line; one without a name is a percent sign.
type place struct {
	source, name string
	chooses      bool
	one, many    string
}

// placeAt reads the place that a line begins with.
func placeAt(s string) place {
	end := 1
	for end < len(s) && (s[end] >= 'a' && s[end] <= 'z' || s[end] >= 'A' && s[end] <= 'Z') {
		end++
	}
	p := place{source: s[:end], name: s[1:end]}
	if p.name == "" {
		if strings.HasPrefix(s, "%%") {
			p.source = "%%"
		}
		return p
	}
	if strings.HasPrefix(s[end:], "(") {
		if words, _, ok := strings.Cut(s[end+1:], ")"); ok {
			if one, many, ok := strings.Cut(words, "|"); ok {
				p.chooses, p.one, p.many = true, one, many
				p.source = s[:end+len(words)+2]
			}
		}
	}
	return p
}

// Places returns the names of a line's places in the order in which they first come.
func Places(pattern string) []string {
	var names []string
next:
	for {
		at := strings.IndexByte(pattern, '%')
		if at < 0 {
			return names
		}
		p := placeAt(pattern[at:])
		pattern = pattern[at+len(p.source):]
		if p.name == "" {
			continue
		}
		for _, known := range names {
			if known == p.name {
				continue next
			}
		}
		names = append(names, p.name)
	}
}
