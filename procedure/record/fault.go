package record

import (
	"fmt"

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

// faultAt places a fault at a byte of a file.
func faultAt(file *text.File, offset int, message, do string) Fault {
	at := file.Position(offset)
	return Fault{at.Line, at.Column, message, do}
}
