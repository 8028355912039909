package source

import (
	"strings"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// curlyMarks are the double quotation marks that word processors put in the place of straight ones.
const curlyMarks = "“”„«»"

// closeTitle closes a title whose closing mark is missing, in front of the attributes or at the
// end of the line. Two braces leave open where the title ends.
func (r *reader) closeTitle(line, title text.Span) []diagnostic.Fix {
	words := title.Text()
	at := len(words)
	if brace := strings.IndexByte(words, '{'); brace >= 0 {
		if strings.Count(words, "{") > 1 {
			return nil
		}
		at = brace
	}
	at = len(strings.TrimRight(words[:at], " \t"))
	return r.insert(line, title.Sub(at, at), `"`)
}

// closeValue closes a value whose closing mark is missing, in front of the brace that ends the
// line. With another equals sign in it, it may have swallowed attributes.
func (r *reader) closeValue(line, value text.Span) []diagnostic.Fix {
	words := strings.TrimRight(value.Text(), " \t")
	if strings.Count(words, "}") != 1 || !strings.HasSuffix(words, "}") || strings.Contains(words, "=") {
		return nil
	}
	return r.insert(line, value.Sub(len(words)-1, len(words)-1), `"`)
}

// closeLine writes what is missing at the end of a line.
func (r *reader) closeLine(line text.Span, missing string) []diagnostic.Fix {
	at := len(strings.TrimRight(line.Text(), " \t"))
	return r.insert(line, line.Sub(at, at), missing)
}

// straighten puts straight quotation marks in the place of others; an odd one leaves open what they enclose.
func (r *reader) straighten(line, rest text.Span) []diagnostic.Fix {
	fix := diagnostic.Fix{Title: say.That(`Write straight quotation marks.`)}
	words := rest.Text()
	for at, c := range words {
		if strings.ContainsRune(curlyMarks, c) {
			fix.Edits = append(fix.Edits, rewrite.Edit{Span: rest.Sub(at, at+len(string(c))), Text: `"`})
		}
	}
	if len(fix.Edits) == 0 || len(fix.Edits)%2 != 0 || strings.Contains(words, `"`) {
		return nil
	}
	fix.Safe = true
	return r.proved(line, fix)
}

func (r *reader) insert(line, at text.Span, words string) []diagnostic.Fix {
	return r.proved(line, diagnostic.Insert(at, words, true))
}

// proved gives a fix of an opening line when the line can be read with it, at least until behind the place.
func (r *reader) proved(line text.Span, fix diagnostic.Fix) []diagnostic.Fix {
	if r.trying {
		return nil
	}
	var b strings.Builder
	at := 0
	words := line.Text()
	for _, e := range fix.Edits {
		b.WriteString(words[at : e.Span.Start-line.Start])
		b.WriteString(e.Text)
		at = e.Span.End - line.Start
	}
	mended := b.Len()
	b.WriteString(words[at:])
	f := text.NewFile(line.File.Name, []byte(b.String()))
	try := reader{file: f, log: &diagnostic.Log{}, trying: true}
	try.parseOpening(f.Span(0, len(f.Source)))
	if left := try.log.Sorted(); len(left) > 0 && left[0].Span.Start < mended {
		return nil
	}
	return []diagnostic.Fix{fix}
}
