package diagnostic

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"matchmark/procedure/text"
)

// Highlight colours one line of source for a terminal. It must not change the line's visible width.
type Highlight func(line string) string

// Printer writes diagnostics as plain text.
type Printer struct {
	// Excerpt adds the source line with the fault underlined.
	Excerpt bool
	// Highlight colours excerpts; nil leaves them plain.
	Highlight Highlight
}

// Print writes each diagnostic as
//
//	path:line:column: severity CODE: what is wrong
//	    12 | the source line
//	       |     ^^^^^^
//	  do: what to do
//	  see: path:line:column: why
func (p Printer) Print(w io.Writer, all []Diagnostic) error {
	var b strings.Builder
	for _, d := range all {
		if b.Len() > 64<<10 {
			if _, err := io.WriteString(w, b.String()); err != nil {
				return err
			}
			b.Reset()
		}
		if d.Span.Valid() {
			b.WriteString(at(d.Span))
			b.WriteString(": ")
		}
		fmt.Fprintf(&b, "%s %s: %s\n", d.Severity, d.Code, d.Message)
		// A file that could not be read has nothing to show.
		if p.Excerpt && d.Span.Valid() && len(d.Span.File.Source) > 0 {
			p.excerpt(&b, d.Span)
		}
		if d.Do != "" {
			fmt.Fprintf(&b, "  do: %s\n", d.Do)
		}
		for _, r := range d.See {
			fmt.Fprintf(&b, "  see: %s: %s\n", at(r.Span), r.Why)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// excerptWidth is the longest line, in characters, that an excerpt shows whole.
const excerptWidth = 100

func (p Printer) excerpt(b *strings.Builder, s text.Span) {
	pos := s.At()
	start, end := s.File.LineBounds(pos.Line)
	// Of a long line only what is near is looked at: there may be many faults in it.
	const near = excerptWidth * utf8.UTFMax
	at := min(s.Start, end)
	low, high := start, min(end, at+near)
	if at-near > start {
		low = min(at, runeStart(s.File.Source, at-near))
	}
	from := utf8.RuneCount(clean(s.File.Source[low:at]))
	runes := []rune(string(clean(s.File.Source[low:high])))
	if len(runes) > excerptWidth {
		cut := max(0, from-excerptWidth/2)
		runes = runes[cut:min(len(runes), cut+excerptWidth)]
		from -= cut
	}
	length := max(1, min(utf8.RuneCount(s.File.Source[at:max(at, min(s.End, high))]), len(runes)-from))
	line := string(runes)
	if p.Highlight != nil {
		line = p.Highlight(line)
	}
	number := strconv.Itoa(pos.Line)
	fmt.Fprintf(b, "  %5s | %s\n", number, line)
	fmt.Fprintf(b, "  %5s | %s%s\n", "", strings.Repeat(" ", from), strings.Repeat("^", length))
}

// clean is a piece of a line as it can be shown: tabs and control characters would move the mark below it.
func clean(piece []byte) []byte {
	piece = bytes.TrimPrefix(bytes.ToValidUTF8(piece, []byte("\uFFFD")), []byte("\uFEFF"))
	return bytes.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, piece)
}

// runeStart is the first offset from at on where a character begins.
func runeStart(source []byte, at int) int {
	for at < len(source) && !utf8.RuneStart(source[at]) {
		at++
	}
	return at
}

func at(s text.Span) string {
	pos := s.At()
	return fmt.Sprintf("%s:%d:%d", pos.File, pos.Line, pos.Column)
}

type jsonPlace struct {
	File   string `json:"file"`
	Line   int    `json:"line"`
	Column int    `json:"column"`
	Why    string `json:"why,omitempty"`
}

type jsonDiagnostic struct {
	Code     Code        `json:"code"`
	Severity string      `json:"severity"`
	File     string      `json:"file,omitempty"`
	Line     int         `json:"line,omitempty"`
	Column   int         `json:"column,omitempty"`
	EndLine  int         `json:"endLine,omitempty"`
	EndCol   int         `json:"endColumn,omitempty"`
	Message  string      `json:"message"`
	Do       string      `json:"do,omitempty"`
	See      []jsonPlace `json:"see,omitempty"`
}

// PrintJSON writes the diagnostics as one JSON array, for editors and scripts.
func PrintJSON(w io.Writer, all []Diagnostic) error {
	out := make([]jsonDiagnostic, 0, len(all))
	for _, d := range all {
		j := jsonDiagnostic{Code: d.Code, Severity: d.Severity.String(), Message: d.Message, Do: d.Do}
		if d.Span.Valid() {
			from, to := d.Span.At(), d.Span.File.Position(d.Span.End)
			j.File, j.Line, j.Column, j.EndLine, j.EndCol = from.File, from.Line, from.Column, to.Line, to.Column
		}
		for _, r := range d.See {
			pos := r.Span.At()
			j.See = append(j.See, jsonPlace{File: pos.File, Line: pos.Line, Column: pos.Column, Why: r.Why})
		}
		out = append(out, j)
	}
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(out)
}
