package record

import (
	"bytes"
	"fmt"
	"unicode/utf8"

	"matchmark/procedure/text"
)

// Fault is one thing that is wrong in a record.
type Fault struct {
	// Line and Column are counted from 1; a column counts characters.
	Line, Column int
	// Message says what is wrong, Do what to do.
	Message, Do string
}

// Faults is the error of a record that cannot be read: all its faults, in the file's order.
type Faults []Fault

// Error gives the first fault and how many there are.
func (f Faults) Error() string {
	out := fmt.Sprintf("line %d, column %d: %s", f[0].Line, f[0].Column, f[0].Message)
	if len(f) > 1 {
		out += fmt.Sprintf(" (and %d more)", len(f)-1)
	}
	return out
}

// mostFaults is how many are listed: after so many, more do not help.
const mostFaults = 100

// What to do about a record that no tablet can have written.
const again = "Save the record from the tablet again, or leave the file out."

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
