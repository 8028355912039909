package source

import (
	"iter"
	"strings"
	"unicode/utf8"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// value is one attribute as written.
type value struct {
	name, text     string
	nameSpan, span text.Span
	// hasValue is false for a flag.
	hasValue bool
	// unfit is set when the grammar has no place for the attribute or its value.
	unfit bool
	// stray is set when it is no attribute but a further word of the value before it.
	stray bool
}

// opening is a block's opening line, taken apart.
type opening struct {
	kind, argument, title             string
	kindSpan, argumentSpan, titleSpan text.Span
	hasTitle                          bool
	// broken is set when a part of the line could not be read: what is missing may stand there.
	broken bool
	values []value
	span   text.Span
}

// parseOpening takes apart what follows the colons:
//
//	KIND [ARGUMENT] ["TITLE"] [{NAME=VALUE NAME="VALUE" FLAG}]
//
// It reports what it cannot read and returns what it could.
func (r *reader) parseOpening(span text.Span) (o opening) {
	o.span = span
	s := &scanner{src: span.Text(), span: span}
	o.kind, o.kindSpan = s.word()
	s.space()
	if !s.done() && s.peek() != '"' && s.peek() != '{' {
		o.argument, o.argumentSpan = s.word()
		s.space()
	}
	if !s.done() && s.peek() == '"' {
		var ok bool
		o.title, o.titleSpan, ok = s.quoted()
		o.hasTitle = true
		if !ok {
			r.unreadable(&o, o.titleSpan, say.That("the title's closing quotation mark is missing"), say.That(`Close the title with ".`), r.closeTitle(span, o.titleSpan)...)
			return o
		}
		s.space()
	}
	if !s.done() && s.peek() == '{' {
		r.parseAttributes(s, &o)
		s.space()
	}
	if !s.done() {
		do := say.That(`Write: ::: kind name "Title" {attribute=value}.`)
		switch rest := strings.TrimSpace(s.rest().Text()); {
		case strings.ContainsAny(s.src, curlyMarks):
			do = say.That(`Use straight quotation marks: ".`)
		case strings.Contains(rest, "=") && !strings.ContainsAny(rest, "{}"):
			do = say.That("Attributes stand in braces: {%attribute}.", say.Word(rest))
		}
		r.unreadable(&o, s.rest(), say.That("this does not belong on the opening line of a block"), do, r.straighten(span, s.rest())...)
	}
	return o
}

func (r *reader) parseAttributes(s *scanner, o *opening) {
	open := s.here(1)
	s.pos++
	o.values = make([]value, 0, max(1, strings.Count(s.src[s.pos:], "=")))
	for {
		s.space()
		if s.done() {
			r.unreadable(o, open, say.That("the closing brace is missing"), say.That("Close the attributes with } on the same line."), r.closeLine(s.span, "}")...)
			return
		}
		if s.peek() == '}' {
			s.pos++
			return
		}
		var v value
		v.name, v.nameSpan = s.until(" \t\r\n=}\"{")
		if v.name == "" {
			r.unreadable(o, s.here(1), say.That("an attribute's name was expected here"), say.That(`Write {name=value} or {name="some words"}.`))
			s.pos++
			continue
		}
		v.span = v.nameSpan
		gap := s.pos
		spaced := s.spaceBefore('=')
		if !s.done() && s.peek() == '=' {
			s.pos++
			v.hasValue = true
			if spaced {
				s.space()
				r.unreadable(o, v.nameSpan, say.That("a space stands between %name and its equals sign", say.Quote(v.name)), say.That("Write %name= and the value, without spaces.", say.Word(v.name)),
					diagnostic.Replace(s.span.Sub(gap, s.pos), "=", !s.done() && s.peek() != '}'))
			} else if s.valueBehind() {
				s.space()
				r.unreadable(o, v.nameSpan, say.That("a space stands between the equals sign of %name and the value", say.Quote(v.name)), say.That("Write %name= and the value, without spaces.", say.Word(v.name)),
					diagnostic.Replace(s.span.Sub(gap, s.pos), "=", true))
			}
			if !s.done() && s.peek() == '"' {
				var ok bool
				v.text, v.span, ok = s.quoted()
				if !ok {
					r.unreadable(o, v.span, say.That("the value's closing quotation mark is missing"), say.That(`Close the value with ".`), r.closeValue(s.span, v.span)...)
					return
				}
			} else {
				v.text, v.span = s.until(" \t\r\n}\"{")
			}
		}
		o.values = append(o.values, v)
	}
}

// spaceBefore goes over spaces that stand in front of c, and reports whether there were any. It goes nowhere else.
func (s *scanner) spaceBefore(c byte) bool {
	from := s.pos
	s.space()
	if s.pos > from && !s.done() && s.peek() == c {
		return true
	}
	s.pos = from
	return false
}

// valueBehind reports whether spaces come next, and then what can only be a value: a number or words in quotation marks.
func (s *scanner) valueBehind() bool {
	rest := strings.TrimLeft(s.src[s.pos:], " \t")
	return len(rest) < len(s.src)-s.pos && rest != "" && (rest[0] == '"' || startsWithDigit(rest))
}

// unreadable reports a part of the opening line that cannot be read.
func (r *reader) unreadable(o *opening, span text.Span, wrong, advice say.Text, fixes ...diagnostic.Fix) {
	o.broken = true
	r.report("fence-syntax", span, wrong, advice, fixes...)
}

// get returns the attribute with that name, or nil.
func (o *opening) get(name string) *value {
	for i := range o.values {
		if o.values[i].name == name {
			return &o.values[i]
		}
	}
	return nil
}

// refs returns the names in a list attribute; none when it is not there.
func (o *opening) refs(name string) []procedure.Ref {
	v := o.get(name)
	if v == nil || !v.hasValue {
		return nil
	}
	return splitRefs(v.text, v.span)
}

// ref returns the name in an attribute; the zero Ref when it is not there.
func (o *opening) ref(name string) procedure.Ref {
	v := o.get(name)
	if v == nil || !v.hasValue {
		return procedure.Ref{}
	}
	return procedure.Ref{ID: v.text, Span: v.span}
}

// none reports whether an attribute says that something is left out on purpose.
func (o *opening) none(name string) bool {
	v := o.get(name)
	return v != nil && v.text == noneWord
}

func (o *opening) flag(name string) bool { return o.get(name) != nil }

func (o *opening) words(name string) string {
	if v := o.get(name); v != nil {
		return v.text
	}
	return ""
}

// splitRefs splits a comma-separated list into names with their places.
func splitRefs(s string, span text.Span) []procedure.Ref {
	if blank(s) {
		return nil
	}
	out := make([]procedure.Ref, 0, 1+strings.Count(s, ","))
	for ref := range refsIn(s, span) {
		out = append(out, ref)
	}
	return out
}

// refsIn goes through the names of a list: "4, 5", "4 and 5", "4-6".
func refsIn(s string, span text.Span) iter.Seq[procedure.Ref] {
	return func(yield func(procedure.Ref) bool) {
		for start := 0; start <= len(s); {
			end := len(s)
			if comma := strings.IndexByte(s[start:], ','); comma >= 0 {
				end = start + comma
			}
			from, to := trim(s, start, end)
			if from < to && !eachName(s, from, to, span, yield) {
				return
			}
			start = end + 1
		}
	}
}

// scanner walks over one line.
type scanner struct {
	src  string
	pos  int
	span text.Span
}

func (s *scanner) done() bool           { return s.pos >= len(s.src) }
func (s *scanner) peek() byte           { return s.src[s.pos] }
func (s *scanner) rest() text.Span      { return s.span.Sub(s.pos, len(s.src)) }
func (s *scanner) here(n int) text.Span { return s.span.Sub(s.pos, min(len(s.src), s.pos+n)) }

func (s *scanner) space() {
	for !s.done() && isSpace(s.peek()) {
		s.pos++
	}
}

// word reads up to white space, a quotation mark or a brace.
// wordEnds are the signs that a word on an opening line ends before.
const wordEnds = " \t\"{"

func (s *scanner) word() (string, text.Span) { return s.until(wordEnds) }

func (s *scanner) until(stops string) (string, text.Span) {
	start := s.pos
	for !s.done() && strings.IndexByte(stops, s.peek()) < 0 {
		_, size := utf8.DecodeRuneInString(s.src[s.pos:])
		s.pos += size
	}
	return s.src[start:s.pos], s.span.Sub(start, s.pos)
}

// quoted reads words in quotation marks; \" and \\ stand for the character itself.
// The span covers what stands between the marks.
func (s *scanner) quoted() (string, text.Span, bool) {
	s.pos++
	start := s.pos
	if end := strings.IndexAny(s.src[start:], `"\`); end >= 0 && s.src[start+end] == '"' {
		s.pos += end + 1
		return s.src[start : start+end], s.span.Sub(start, start+end), true
	}
	var b strings.Builder
	for ; !s.done(); s.pos++ {
		switch c := s.peek(); {
		case c == '"':
			span := s.span.Sub(start, s.pos)
			s.pos++
			return b.String(), span, true
		case c == '\\' && s.pos+1 < len(s.src) && (s.src[s.pos+1] == '"' || s.src[s.pos+1] == '\\'):
			s.pos++
			b.WriteByte(s.peek())
		default:
			b.WriteByte(c)
		}
	}
	return b.String(), s.span.Sub(start, s.pos), false
}
