package source

import (
	"bytes"
	"cmp"
	"slices"
	"strings"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/grammar"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// Tidy writes a file's source in the one form that its meaning has: tables with one space around their
// cells, lined up where that takes little room; the columns' own names; attributes in the order of the
// reference; units by their symbols; single empty lines. It wraps nothing, and leaves alone what it would
// change the meaning of. The same file gives the same bytes, and a tidy file gives itself.
func (x *Reader) Tidy(f *text.File) []byte {
	var none diagnostic.Log
	out := f.Source
	diagnostic.GuardWork(say.That("reading the file"), f.Span(0, 0), none.Add, func() { out = x.tidy(f.Source) })
	return out
}

// mostTidyings ends what would never end; one round opens at most what the next one closes.
const mostTidyings = 4

func (x *Reader) tidy(src []byte) []byte {
	meant := x.meaning(src)
	for range mostTidyings {
		t := tidying{r: x.of(text.NewFile("", src), &diagnostic.Log{}), src: src}
		t.file()
		next := t.made(t.edits)
		if !bytes.Equal(next, src) && x.meaning(next) != meant {
			next = x.harmless(src, &t, meant)
		}
		if bytes.Equal(next, src) {
			break
		}
		src = next
	}
	return src
}

// harmless makes those edits that do not change what the file means.
func (x *Reader) harmless(src []byte, t *tidying, meant string) []byte {
	var kept []tidyEdit
	for _, e := range t.edits {
		if with := append(kept[:len(kept):len(kept)], e); x.meaning(t.made(with)) == meant {
			kept = with
		}
	}
	return t.made(kept)
}

// tidyEdit puts other bytes in the place of some.
type tidyEdit struct {
	start, end int
	text       string
}

// tidying goes through a file line by line.
type tidying struct {
	r     *reader
	src   []byte
	edits []tidyEdit

	lines [][2]int // start and end of each line, without its line ending
	form  *RegisterForm
}

func (t *tidying) made(edits []tidyEdit) []byte {
	slices.SortStableFunc(edits, func(a, b tidyEdit) int { return cmp.Compare(a.start, b.start) })
	var out bytes.Buffer
	at := 0
	for _, e := range edits {
		if e.start < at {
			continue // inside one that was made
		}
		out.Write(t.src[at:e.start])
		out.WriteString(e.text)
		at = e.end
	}
	out.Write(t.src[at:])
	return out.Bytes()
}

func (t *tidying) put(start, end int, s string) {
	if string(t.src[start:end]) != s {
		t.edits = append(t.edits, tidyEdit{start, end, s})
	}
}

func (t *tidying) line(i int) string { return string(t.src[t.lines[i][0]:t.lines[i][1]]) }

// file goes through the lines behind the front matter.
func (t *tidying) file() {
	body := 0
	if m, ok, _ := splitMatter(t.r.file); ok {
		body = m.body
	}
	for at := body; at < len(t.src); {
		end, next := len(t.src), len(t.src)
		if n := bytes.IndexByte(t.src[at:], '\n'); n >= 0 {
			end, next = at+n, at+n+1
		}
		if end > at && t.src[end-1] == '\r' && next > end {
			end--
			t.put(end, next, "\n")
		}
		t.lines = append(t.lines, [2]int{at, end})
		at = next
	}
	for i := 0; i < len(t.lines); {
		i = t.at(i)
	}
	if n := len(t.lines); n > 0 && t.lines[n-1][1] == len(t.src) && !blank(t.line(n-1)) {
		t.edits = append(t.edits, tidyEdit{len(t.src), len(t.src), "\n"})
	}
}

// at looks at one line, or at what begins there, and returns the line behind it.
func (t *tidying) at(i int) int {
	line := t.line(i)
	words := strings.TrimSpace(line)
	indent := len(line) - len(strings.TrimLeft(line, " "))
	switch {
	case words == "":
		return t.empty(i)
	case indent > 3 || strings.HasPrefix(line, "\t") && t.form == nil:
		return i + 1 // code, or inside a list
	case strings.HasPrefix(words, "```"), strings.HasPrefix(words, "~~~"):
		return t.code(i, words)
	case strings.Contains(words, "<!--"):
		return t.comment(i)
	case strings.HasPrefix(words, ":::"):
		t.fence(i, line, words)
		return i + 1
	case strings.HasPrefix(words, "{") && strings.HasSuffix(words, "}"):
		t.attributes(i, line, stepKind.Attributes)
		return i + 1
	case i+1 < len(t.lines) && strings.Contains(words, "|") && isDelimiter(t.line(i+1)):
		return t.table(i)
	case t.form != nil && strings.Contains(line, "\t"):
		return t.pasted(i)
	case t.form != nil && (startsWithEach(words) || strings.HasPrefix(words, "- ")):
		t.pairs(i, line)
	}
	if trimmed := strings.TrimRight(line, " \t"); len(trimmed)+1 == len(line) || strings.HasPrefix(words, "#") {
		t.put(t.lines[i][0]+len(trimmed), t.lines[i][1], "")
	}
	return i + 1
}

// empty leaves one empty line where several stand, and none at the end.
func (t *tidying) empty(i int) int {
	last := i
	for last+1 < len(t.lines) && blank(t.line(last+1)) {
		last++
	}
	start, end := t.lines[i][0], t.lines[last][1]
	switch {
	case last+1 == len(t.lines):
		if start > 0 {
			t.put(start, len(t.src), "")
		}
	case strings.HasPrefix(t.line(last+1), "    ") || strings.HasPrefix(t.line(last+1), "\t"):
		// maybe code, which shows its empty lines
	default:
		t.put(start, end, "")
	}
	return last + 1
}

// code passes over a block of code.
func (t *tidying) code(i int, words string) int {
	mark := words[:3]
	length := len(words) - len(strings.TrimLeft(words, mark[:1]))
	for i++; i < len(t.lines); i++ {
		closing := strings.TrimSpace(t.line(i))
		if strings.Trim(closing, mark[:1]) == "" && len(closing) >= length {
			return i + 1
		}
	}
	return i
}

// comment passes over the author's notes.
func (t *tidying) comment(i int) int {
	for ; i < len(t.lines); i++ {
		line := t.line(i)
		if open := strings.LastIndex(line, "<!--"); !strings.Contains(line[max(open, 0):], "-->") && (open >= 0 || !strings.Contains(line, "-->")) {
			continue
		}
		return i + 1
	}
	return i
}

// fence tidies the opening line of a block, and notes which register begins or ends.
func (t *tidying) fence(i int, line, words string) {
	t.put(t.lines[i][0]+len(strings.TrimRight(line, " \t")), t.lines[i][1], "")
	t.form = nil
	info := strings.TrimLeft(words, ":")
	if strings.TrimSpace(info) == "" {
		return
	}
	from := strings.Index(line, info)
	var log diagnostic.Log
	r := *t.r
	r.log = &log
	start := t.lines[i][0] + from
	o := r.parseOpening(r.file.Span(start+len(info)-len(strings.TrimLeft(info, " \t")), t.lines[i][0]+len(strings.TrimRight(line, " \t"))))
	kind := blockKind(o.kind)
	if len(log.Sorted()) > 0 || kind == nil {
		return
	}
	if kind.Name == "register" {
		for f := range registerForms {
			if string(registerForms[f].Kind) == o.argument {
				t.form = &registerForms[f]
			}
		}
	}
	colons := len(words) - len(info)
	out := words[:colons] + " " + o.kind
	if o.argument != "" {
		// several names behind the kind, as for variants, are taken as they stand
		out += " " + strings.TrimSpace(o.argument)
	}
	if o.hasTitle {
		out += " " + string(t.src[o.titleSpan.Start-1:o.titleSpan.End+1])
	}
	if len(o.values) > 0 {
		s, ok := t.braces(o.values, kind.Attributes)
		if !ok {
			return
		}
		out += " " + s
	}
	t.put(t.lines[i][0], t.lines[i][1], out)
}

// attributes tidies a line of attributes.
func (t *tidying) attributes(i int, line string, known []grammar.Attribute) {
	var log diagnostic.Log
	r := *t.r
	r.log = &log
	var o opening
	from := strings.IndexByte(line, '{')
	s := &scanner{src: line[from:], span: r.file.Span(t.lines[i][0]+from, t.lines[i][1])}
	r.parseAttributes(s, &o)
	s.space()
	if len(log.Sorted()) > 0 || !s.done() || len(o.values) == 0 {
		return
	}
	if out, ok := t.braces(o.values, known); ok {
		t.put(t.lines[i][0]+from, t.lines[i][1], out)
	}
}

// braces writes attributes in the order of the grammar, those that it does not know behind them.
func (t *tidying) braces(values []value, known []grammar.Attribute) (string, bool) {
	place := func(v value) int {
		at := slices.IndexFunc(known, func(a grammar.Attribute) bool { return a.Name == v.name })
		if at < 0 {
			return len(known)
		}
		return at
	}
	sorted := slices.Clone(values)
	slices.SortStableFunc(sorted, func(a, b value) int { return cmp.Compare(place(a), place(b)) })
	var out []string
	for i, v := range sorted {
		if i > 0 && v.name == sorted[i-1].name || strings.ContainsAny(v.text, "\"\\") || v.name == "" {
			return "", false // the one that counts, or a mark that needs care: by hand
		}
		if !v.hasValue {
			out = append(out, v.name)
			continue
		}
		words := v.text
		if at := place(v); at < len(known) && known[at].Type == grammar.Amount {
			words = t.r.numbers.Tidy(words)
		}
		if words == "" || strings.ContainsAny(words, " \t{}=,“”„«»") {
			words = `"` + words + `"`
		}
		out = append(out, v.name+"="+words)
	}
	return "{" + strings.Join(out, " ") + "}", true
}

// pairs tidies what rows have in common, or have besides.
func (t *tidying) pairs(i int, line string) {
	colon := strings.IndexByte(line, ':')
	if colon < 0 || strings.Contains(line, `\;`) {
		return
	}
	var out []string
	for piece := range strings.SplitSeq(line[colon+1:], ";") {
		if piece = strings.TrimSpace(piece); piece == "" {
			continue
		}
		var log diagnostic.Log
		r := *t.r
		r.log = &log
		p, ok := r.pair(piece, t.r.file.Span(0, 0), t.form)
		if !ok || len(log.Sorted()) > 0 || p.unit != "" {
			return
		}
		c, _ := t.form.Column(p.column)
		switch {
		case c.Type == grammar.Yes && p.text == "yes":
			out = append(out, p.column)
			continue
		case c.Type == grammar.Amount:
			p.text = t.r.numbers.Tidy(p.text)
		}
		out = append(out, p.column+" "+p.text)
	}
	head := strings.TrimSpace(line[:colon])
	if startsWithEach(line) {
		head = "Each"
	}
	if len(out) > 0 {
		t.put(t.lines[i][0], t.lines[i][1], head+": "+strings.Join(out, "; "))
	}
}
