// Package revise makes estimates better: from recorded step times it works out
// new optimistic, most likely and pessimistic times, and writes them into the
// source without changing anything else.
package revise

import (
	"bytes"
	"fmt"
	"path"
	"strings"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/text"
)

// Record is one recorded time of one step.
type Record struct {
	// Step is the step's name.
	Step string
	// Procedure and Variant tell steps of one name apart; empty when not recorded.
	Procedure, Variant string
	// Minutes is how long the step took, more than 0.
	Minutes float64
	// Repetition says how often the learner had done the job by then, this time
	// included; 0 when not recorded.
	Repetition int
	// Interrupted is true when something else was done in between.
	Interrupted bool
	// Line is where the record stands in its file, from 1.
	Line int
}

// The limits of a record: longer than a year, or repeated more often than anybody
// does a job, is a slip of the pen.
const (
	longestMinutes  = 525_600
	mostRepetitions = 100_000
	mostFaults      = 100
)

// Fault is one thing that cannot be read in a file of records.
type Fault struct {
	// Line and Column are counted from 1; a column counts characters.
	Line, Column int
	// Message says what is wrong, Do what to do.
	Message, Do string
}

// Faults is the error of a file that cannot be read: all its faults, by line.
type Faults []Fault

// Error gives the first fault and how many there are.
func (f Faults) Error() string {
	out := fmt.Sprintf("line %d: %s", f[0].Line, f[0].Message)
	if len(f) > 1 {
		out += fmt.Sprintf(" (and %d more)", len(f)-1)
	}
	return out
}

// Read reads a file of records by its name's ending, .csv or .json: see ReadCSV
// and ReadJSON for the two formats, and ReadJob for the records of jobs. With a fault in the file there are no
// records; the error is then Faults.
func Read(name string, data []byte) ([]Record, error) {
	switch strings.ToLower(path.Ext(name)) {
	case ".csv":
		return ReadCSV(data)
	case ".json":
		if IsJobRecord(data) {
			return ReadJob(data)
		}
		return ReadJSON(data)
	}
	return nil, fmt.Errorf("%s: recorded times are read from .csv and .json files", name)
}

// reading collects the records and the faults of one file.
type reading struct {
	file *text.File
	// start is where the file's own text starts, after a byte-order mark.
	start   int
	records []Record
	faults  Faults
}

func newReading(data []byte) *reading {
	r := &reading{file: text.NewFile("", data)}
	if bytes.HasPrefix(data, []byte("\xef\xbb\xbf")) {
		r.start = 3
	}
	return r
}

// own is the file's own text.
func (r *reading) own() []byte { return r.file.Source[r.start:] }

// fault notes what is wrong at a byte of the file.
func (r *reading) fault(offset int, message, do string) {
	if len(r.faults) < mostFaults {
		at := r.file.Position(offset)
		r.faults = append(r.faults, Fault{at.Line, at.Column, message, do})
	}
}

func (r *reading) result() ([]Record, error) {
	if len(r.faults) > 0 {
		return nil, r.faults
	}
	return r.records, nil
}

// fields are the names of what a record holds, the columns of a table and the keys of an object alike.
var fields = []string{"step", "minutes", "procedure", "variant", "repetition", "interrupted", "note"}

// short cuts a text that a message quotes.
func short(s string) string {
	const most = 40
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}

// unknown says what to do about a name that is no field.
func unknown(name string) string {
	if near := diagnostic.Nearest(strings.ToLower(name), fields); near != "" {
		return "Did you mean " + near + "?"
	}
	return "Use " + strings.Join(fields, ", ") + "."
}

// inRange says what is wrong with a record's numbers; empty when nothing is.
func (r Record) inRange() (message, do string) {
	switch {
	case !(r.Minutes > 0 && r.Minutes <= longestMinutes):
		return fmt.Sprintf("%g minutes is no time that a step can take", r.Minutes), "Write a number of minutes above 0, such as 8.5."
	case r.Repetition < 0 || r.Repetition > mostRepetitions:
		return fmt.Sprintf("%d is no count of repetitions", r.Repetition), "Write 1 for the first time, 2 for the second, and so on."
	}
	return "", ""
}
