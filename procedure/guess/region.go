package guess

import (
	"strings"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/text"
)

// whole are the codes of faults for which nothing of a file is read.
var whole = map[diagnostic.Code]bool{
	"front-matter-syntax": true, "front-matter-missing": true, "unknown-kind": true, "not-utf8": true, "control-character": true,
	"file-too-large": true, "unreadable-file": true,
}

// heading are the codes of faults in a table's heading, which bear on all of its rows.
var heading = map[diagnostic.Code]bool{"unknown-column": true, "missing-column": true, "repeated-column": true, "register-table": true}

// passedOver are the codes of faults for which a block is not read.
var passedOver = map[diagnostic.Code]bool{"unknown-block": true, "misplaced-block": true, "missing-name": true}

// Region is the part of its file that a fault can have kept from being read as it
// was meant: its line, the block that it opens, the table below it, or the whole file.
func Region(d diagnostic.Diagnostic) text.Span {
	if d.Span.File == nil {
		return text.Span{}
	}
	f := d.Span.File
	line, out := lineAt(d.Span)
	switch {
	case whole[d.Code]:
		return f.Span(0, len(f.Source))
	case heading[d.Code]:
		for n := f.LineOf(out.Start) + 1; n <= f.LineCount(); n++ {
			start, end := f.LineBounds(n)
			if !strings.HasPrefix(strings.TrimLeft(string(f.Source[start:end]), " "), "|") {
				break
			}
			out.End = end
		}
	case passedOver[d.Code] && strings.HasPrefix(line, ":::"), d.Code == "attribute-value" && strings.HasPrefix(line, "::: register"), d.Code == "repeated-register":
		open := 0
		for n := f.LineOf(out.Start); n <= f.LineCount(); n++ {
			start, end := f.LineBounds(n)
			out.End = end
			switch here := strings.TrimSpace(string(f.Source[start:end])); {
			case !strings.HasPrefix(here, ":::"):
				continue
			case strings.Trim(here, ":") == "":
				open--
			default:
				open++
			}
			if open == 0 {
				break
			}
		}
	}
	return out
}
