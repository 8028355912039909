package say

import (
	"strconv"
	"strings"
	"unicode"

	"matchmark/procedure/decimal"
)

// Part stands in a place of a text: one of the types of this package.
type Part interface {
	write(b *strings.Builder, l Language)
}

// Name is the name of a thing, as its author gave it.
type Name string

// Word is a word of the dialect, of a file format or of the program, which is the same in
// every language: an attribute, a column, a verb, a unit, a code.
type Word string

// Quote is words of an author's, shown in quotation marks, on one line and without control
// characters, and not all of a long text.
type Quote string

// Foreign is words of another program, as they came: of the system, of a library.
type Foreign string

// Quoted is the name of a thing in quotation marks, whole and as Go writes it: of a file, a folder, a word that was typed.
func Quoted(name string) Name { return Name(strconv.Quote(name)) }

// Step is the number of a step, which may differ between the variants of a job.
type Step int

// Count is a number of things.
type Count int

// Decimal is a number with so many places behind the point; with Shortest, as many as it needs.
type Decimal struct {
	Value  float64
	Places int
}

// Shortest writes a number with as many places as it needs.
const Shortest = -1

// List is several parts in a row.
type List struct {
	Join  Join
	Parts []Part
}

// Join says how the parts of a list are joined.
type Join int

// The joins: "a, b", "a, b and c", "a, b or c", and the last two with the word between any two.
const (
	Commas Join = iota
	And
	Or
	EachAnd
	EachOr
)

// Each makes a list of strings, each as a part of type P.
func Each[P interface {
	~string
	Part
}, S ~string](join Join, list []S) List {
	out := List{join, make([]Part, len(list))}
	for i, s := range list {
		out.Parts[i] = P(s)
	}
	return out
}

func (p Name) write(b *strings.Builder, _ Language)    { b.WriteString(string(p)) }
func (p Word) write(b *strings.Builder, _ Language)    { b.WriteString(string(p)) }
func (p Foreign) write(b *strings.Builder, _ Language) { b.WriteString(string(p)) }
func (p Step) write(b *strings.Builder, _ Language)    { b.WriteString(strconv.Itoa(int(p))) }
func (p Count) write(b *strings.Builder, _ Language)   { b.WriteString(strconv.Itoa(int(p))) }

// longestQuote is how many characters of an author's words a message repeats.
const longestQuote = 60

func (p Quote) write(b *strings.Builder, _ Language) {
	s := strings.Join(strings.FieldsFunc(string(p), func(r rune) bool { return unicode.IsSpace(r) || unicode.IsControl(r) }), " ")
	if len(s) > longestQuote {
		if runes := []rune(s); len(runes) > longestQuote {
			s = string(runes[:longestQuote]) + "…"
		}
	}
	b.WriteByte('"')
	b.WriteString(s)
	b.WriteByte('"')
}

func (p Decimal) write(b *strings.Builder, l Language) {
	written := decimal.Format(p.Value, p.Places)
	if sign, ok := l[decimalSign]; ok {
		written = strings.Replace(written, decimalSign, sign, 1)
	}
	b.WriteString(written)
}

// The words between the parts of a list.
var joins = [...]struct{ between, last Text }{
	Commas:  {That(", "), That(", ")},
	And:     {That(", "), That(" and ")},
	Or:      {That(", "), That(" or ")},
	EachAnd: {That(" and "), That(" and ")},
	EachOr:  {That(" or "), That(" or ")},
}

func (p List) write(b *strings.Builder, l Language) {
	for i, part := range p.Parts {
		switch {
		case i == 0:
		case i < len(p.Parts)-1:
			joins[p.Join].between.write(b, l)
		default:
			joins[p.Join].last.write(b, l)
		}
		part.write(b, l)
	}
}

func (p Step) number() int  { return int(p) }
func (p Count) number() int { return int(p) }
func (p List) number() int  { return len(p.Parts) }
