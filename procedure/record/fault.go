package record

import (
	"bytes"
	"encoding/json"
	"unicode/utf8"

	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// mostFaults is how many are listed: after so many, more do not help.
const mostFaults = 100

// What to do about a record that no tablet can have written.
var again = say.That("Save the record from the tablet again, or leave the file out.")

// places counts lines and columns on from the place that was asked for last, since
// the faults of a file of one long line would take long to place one by one.
type places struct {
	file               *text.File
	line, column, last int
}

func (p *places) at(offset int) (line, column int) {
	if line := p.file.LineOf(offset); line != p.line || offset < p.last {
		start, _ := p.file.LineBounds(line)
		p.line, p.column, p.last = line, 1, start
	}
	p.column += utf8.RuneCount(p.file.Source[p.last:offset])
	p.last = offset
	if p.line == 1 && bytes.HasPrefix(p.file.Source, byteOrderMark) && offset >= len(byteOrderMark) {
		return p.line, p.column - 1 // it has no width
	}
	return p.line, p.column
}

// byteOrderMark may stand before the text of a file.
var byteOrderMark = []byte("\xef\xbb\xbf")

// FormatOf is the format that a JSON file says it has; empty when it says none, or is no JSON.
func FormatOf(data []byte) string {
	var head struct{ Format string }
	if json.Unmarshal(bytes.TrimPrefix(data, byteOrderMark), &head) != nil {
		return ""
	}
	return head.Format
}
