package diagnostic

import (
	"bytes"
	"fmt"
	"io"
	"path"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"matchmark/procedure/say"
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
	// All lists what follows from another message; without, it is counted.
	All bool
	// Language gives the words; nil is English.
	Language say.Language
	// Folder is the way from where one stands to the library, with slashes; empty when one stands in it.
	Folder string
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
	for _, group := range Grouped(all) {
		if b.Len() > 64<<10 {
			if _, err := io.WriteString(w, b.String()); err != nil {
				return err
			}
			b.Reset()
		}
		p.one(&b, group[0])
		more := group[1:]
		if p.All {
			for _, d := range more {
				p.one(&b, d)
			}
		} else if len(more) > 0 {
			fmt.Fprintf(&b, "  %s\n", say.That("and %more more that %more(follows|follow) from this; --all lists %more(it|them)", say.Count(len(more))).In(p.Language))
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// one writes one message.
func (p Printer) one(b *strings.Builder, d Diagnostic) {
	if at := d.At(); at != (text.Position{}) {
		b.WriteString(p.place(at))
		b.WriteString(": ")
	}
	if d.Severity == NotChecked {
		fmt.Fprintf(b, "%s: %s%s\n", d.Severity.In(p.Language), text.Visible(d.Says().In(p.Language), ""), p.places(d.See))
		return
	}
	fmt.Fprintf(b, "%s%s: %s\n", d.Severity.In(p.Language), spaced(d.Code), text.Visible(d.Says().In(p.Language), ""))
	// A file that could not be read has nothing to show.
	if p.Excerpt && d.Span.Valid() && len(d.Span.File.Source) > 0 {
		p.excerpt(b, d.Span)
	}
	if do := d.Advice; !do.Empty() {
		if d.SafeFix() != nil {
			do = say.That("%advice (check --fix does this)", do)
		}
		fmt.Fprintf(b, "  %s: %s\n", say.That("do").In(p.Language), text.Visible(do.In(p.Language), ""))
	}
	for _, r := range d.See {
		fmt.Fprintf(b, "  %s: %s: %s\n", say.That("see").In(p.Language), p.At(r.Span), text.Visible(r.Says.In(p.Language), ""))
	}
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
	if low+len(line) < end { // a line that was cut ends in no space
		line = strings.TrimRight(line, " ")
	}
	if p.Highlight != nil {
		line = p.Highlight(line)
	}
	number := strconv.Itoa(pos.Line)
	if _, cell, found := strings.Cut(pos.Cell, "!"); found {
		number = strings.TrimLeft(cell, "ABCDEFGHIJKLMNOPQRSTUVWXYZ")
	}
	fmt.Fprintf(b, "  %5s | %s\n", number, line)
	fmt.Fprintf(b, "  %5s | %s%s\n", "", strings.Repeat(" ", from), strings.Repeat("^", length))
}

// clean is a piece of a line as it can be shown: tabs and control characters would move the mark below it.
func clean(piece []byte) []byte {
	piece = bytes.TrimPrefix(bytes.ToValidUTF8(piece, []byte("\uFFFD")), []byte("\uFEFF"))
	return bytes.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) {
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

// places are further places on the message's own line: " (a.md:3, b.md:9)", the first few.
func (p Printer) places(see []Related) string {
	const most = 3
	var out []string
	for _, r := range see {
		at := r.Span.At()
		if line := fmt.Sprintf("%s:%d", text.Visible(path.Join(p.Folder, at.File), ""), at.Line); !slices.Contains(out, line) {
			out = append(out, line)
		}
	}
	if len(out) > most {
		out = append(out[:most], "…")
	}
	return " (" + strings.Join(out, ", ") + ")"
}

// At writes a place as path:line:column.
func (p Printer) At(s text.Span) string { return p.place(s.At()) }

func (p Printer) place(at text.Position) string {
	at.File = path.Join(p.Folder, at.File)
	return text.Visible(at.String(), "")
}

// spaced is a code behind the severity; a message on another file than a library's has none.
func spaced(c Code) string {
	if c == "" {
		return ""
	}
	return " " + string(c)
}
