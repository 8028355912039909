package revise

import (
	"encoding/csv"
	"errors"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"matchmark/procedure/csvtable"
	"matchmark/procedure/say"
)

// ReadCSV reads a table of records:
//
//	step,minutes,procedure,variant,repetition,interrupted,note
//	hub-off,9.5,mixer-gearbox-out,belt,1,,
//	hub-off,41,mixer-gearbox-out,belt,2,yes,lunch
//
// It is CSV by RFC 4180 in UTF-8, with or without a byte-order mark, and with any
// line ending. The first line names the columns, in any order and any case; step
// and minutes are required. The columns:
//
//   - step: the step's name
//   - minutes: how long it took, a number above 0
//   - procedure: the procedure's name; needed where two procedures have a step of this name
//   - variant: the machine's variant
//   - repetition: 1 when the learner did the job for the first time, 2 for the second, and so on
//   - interrupted: yes when something else was done in between; no or nothing otherwise
//   - note: for people; not read
//
// A table whose first line is separated by semicolons is read with them, and then
// a number may have a decimal comma: spreadsheets write it so in many countries.
// Empty lines are passed over. The error is diagnostic.Faults.
func ReadCSV(data []byte) ([]Record, error) {
	r := newReading(data)
	table := csvtable.NewReader(r.own())
	var columns []string
	for {
		cells, err := table.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		var wrong *csv.ParseError
		if errors.As(err, &wrong) {
			if errors.Is(wrong.Err, csv.ErrQuote) { // one that is never closed runs on to the end
				wrong.Line, wrong.Column = wrong.StartLine, 1
			}
			r.fault(r.offset(wrong.Line, wrong.Column), say.That("this line is no line of a table: %cause", say.Why(wrong.Err)), say.That(`Put a cell with quotation marks or line breaks into quotation marks, and write "" for each mark inside.`))
			break
		}
		row := &tableRow{reading: r, table: table, cells: cells, columns: columns, decimalComma: table.Comma == ';'}
		if columns == nil {
			if columns = row.heading(); columns == nil {
				break
			}
			continue
		}
		row.read()
	}
	if columns == nil && len(r.faults) == 0 {
		r.fault(r.start, say.That("the table is empty"), say.That("Begin with a line that names the columns: step,minutes."))
	}
	return r.result()
}

// tableRow is one line of a table.
type tableRow struct {
	*reading
	table          *csv.Reader
	cells, columns []string
	decimalComma   bool
}

// wrong notes what is wrong with a cell; a cell that is not there counts as the line's first.
func (t *tableRow) wrong(cell int, wrong, advice say.Text) {
	if cell < 0 || cell >= len(t.cells) {
		cell = 0
	}
	t.fault(t.offset(t.table.FieldPos(cell)), wrong, advice)
}

// offset turns a line and a column that counts bytes, both from 1, into a byte of the file.
func (r *reading) offset(line, column int) int {
	at, _ := r.file.LineBounds(line)
	if line == 1 {
		at = r.start
	}
	return at + column - 1
}

// heading reads the names of the columns; nil when they are of no use.
func (t *tableRow) heading() []string {
	var columns []string
	usable := true
	for i, cell := range t.cells {
		name := strings.ToLower(strings.TrimSpace(cell))
		if !slices.Contains(fields, name) {
			t.wrong(i, say.That("there is no column %cell", say.Quote(short(cell))), unknown(name))
			usable = false
		} else if slices.Contains(columns, name) {
			t.wrong(i, say.That("the column %column is there twice", say.Name(name)), say.That("Take one of them out."))
			usable = false
		}
		columns = append(columns, name)
	}
	for _, name := range fields[:2] {
		if !slices.Contains(columns, name) {
			t.wrong(0, say.That("the column %column is missing", say.Name(name)), say.That("Name the columns in the first line: step,minutes."))
			usable = false
		}
	}
	if !usable {
		return nil
	}
	return columns
}

// read reads a record.
func (t *tableRow) read() {
	before := len(t.faults)
	if len(t.cells) > len(t.columns) {
		t.wrong(len(t.columns), say.That("the line has %cells cells, and there are %columns columns", say.Count(len(t.cells)), say.Count(len(t.columns))), say.That("Take the surplus cell out, or put a cell with a comma into quotation marks."))
	}
	out := Record{}
	out.Line, _ = t.table.FieldPos(0)
	at := map[string]int{}
	for i, cell := range t.cells[:min(len(t.cells), len(t.columns))] {
		cell = strings.TrimSpace(cell)
		at[t.columns[i]] = i
		switch t.columns[i] {
		case "step":
			out.Step = cell
		case "procedure":
			out.Procedure = cell
		case "variant":
			out.Variant = cell
		case "team":
			out.Team = cell
		case "minutes":
			out.Minutes = t.minutes(i, cell)
		case "repetition":
			out.Repetition = t.repetition(i, cell)
		case "interrupted":
			out.Interrupted = t.interrupted(i, cell)
		}
	}
	if i, ok := at["step"]; !ok || out.Step == "" {
		t.wrong(i, say.That("the step is missing"), say.That("Write the name of the step that was timed."))
	}
	if _, ok := at["minutes"]; !ok {
		t.wrong(0, say.That("the minutes are missing"), say.That("Write how long the step took, such as 8.5."))
	}
	if len(t.faults) == before {
		t.records = append(t.records, out)
	}
}

func (t *tableRow) minutes(i int, cell string) float64 {
	number := cell
	if t.decimalComma {
		number = strings.Replace(number, ",", ".", 1)
	}
	n, err := strconv.ParseFloat(number, 64)
	if err != nil || math.IsNaN(n) || strings.ContainsAny(number, "xXpP_") {
		t.wrong(i, say.That("%cell is no number of minutes", say.Quote(short(cell))), say.That("Write a number of minutes above 0, such as 8.5."))
		return 0
	}
	if wrong, advice := (Record{Minutes: n}).inRange(); !wrong.Empty() {
		t.wrong(i, wrong, advice)
	}
	return n
}

func (t *tableRow) repetition(i int, cell string) int {
	if cell == "" {
		return 0
	}
	n, err := strconv.Atoi(cell)
	if err != nil || n < 1 || n > mostRepetitions {
		t.wrong(i, say.That("%cell is no count of repetitions", say.Quote(short(cell))), say.That("Write 1 for the first time, 2 for the second, and so on."))
	}
	return n
}

func (t *tableRow) interrupted(i int, cell string) bool {
	switch strings.ToLower(cell) {
	case "yes":
		return true
	case "no", "":
	default:
		t.wrong(i, say.That("%cell is neither yes nor no", say.Quote(short(cell))), say.That("Write yes when the step was interrupted, and nothing otherwise."))
	}
	return false
}
