package assist

import (
	"fmt"
	"strings"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// Remedy is a way to put a message right, or to live with it.
type Remedy struct {
	Title say.Text
	Edits []rewrite.Edit
	// Sure is true when nothing else can have been meant.
	Sure bool
	// Reason is the place of the words that the author is to replace by a reason; invalid for none.
	Reason string
	Of     diagnostic.Diagnostic
}

// reason stands in a new allowance until the author gives one: without it the comment is an error, so that nobody allows
// a thing without a word.
const reason = "REASON"

// Remedies are the ways to put right what is told at a place. Lists, which may be nil, are those that a name may be added to.
func Remedies(found []diagnostic.Diagnostic, at text.Span, lists *Lists) (out []Remedy) {
	for _, d := range found {
		if d.Span.File == nil || at.File == nil || d.Span.File.Name != at.File.Name || d.Span.Start > at.End || d.Span.End < at.Start {
			continue
		}
		for _, f := range d.Fixes {
			if idle(f.Edits) {
				continue // the word is right, and what stands around it is not
			}
			out = append(out, Remedy{Title: f.Title, Edits: f.Edits, Sure: f.Safe, Of: d})
		}
		out = append(out, repairs(d, lists)...)
		if d.Severity != diagnostic.Error && d.Severity != diagnostic.NotChecked && d.Span.File.Sheets == nil && d.Span.Start >= len(matterOf(d.Span.File.Source)) {
			// The front matter has no such comments.
			out = append(out, allow(d))
		}
	}
	return out
}

// idle reports whether some edits leave everything as it is.
func idle(edits []rewrite.Edit) bool {
	for _, e := range edits {
		if e.Text != e.Span.Text() {
			return false
		}
	}
	return true
}

// repairs carry out what a message says to do.
func repairs(d diagnostic.Diagnostic, lists *Lists) (out []Remedy) {
	if d.Span.File.Source == nil || d.Span.File.Sheets != nil {
		return nil
	}
	switch d.Code {
	case "undefined-reference", "undefined-row":
		out = lists.register(d)
	default:
		if make := repairOf[d.Code]; make != nil {
			out = make(d)
		}
		if make := slipOf[d.Code]; make != nil && (len(d.Fixes) == 0 || d.Code == "unknown-verb") {
			out = make(d, lists)
		}
	}
	for i := range out {
		out[i].Of = d
	}
	return out
}

// allow writes a comment over the line of a message.
func allow(d diagnostic.Diagnostic) Remedy {
	f := d.Span.File
	start, end := f.LineBounds(f.LineOf(d.Span.Start))
	line := string(f.Source[start:end])
	indent := line[:len(line)-len(strings.TrimLeft(line, " \t"))]
	words := fmt.Sprintf("%s<!-- allow %s: %s -->\n", indent, d.Code, reason)
	return Remedy{Title: say.That("Allow %code here, with a reason", say.Word(d.Code)), Edits: []rewrite.Edit{{Span: f.Span(start, start), Text: words}}, Reason: reason, Of: d}
}
