// Package spreadsheet reads tables of cells from CSV, TSV and XLSX files, and writes XLSX. Every cell
// knows its place. What a spreadsheet shows counts: a formula is its value, a number is what was typed.
package spreadsheet

import (
	"encoding/csv"
	"errors"
	"path"
	"strings"
	"unicode/utf8"

	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// Book is a file of tables.
type Book struct {
	// File is what places point into: the text of a CSV file, or an XLSX file written out with a line for each row
	// and tabs between the cells.
	File   *text.File
	Sheets []Sheet
}

// Sheet is one table.
type Sheet struct {
	Name string
	Rows [][]Cell
	// Merged are the places of cells that are merged, each with the last row that it reaches into, from 0.
	Merged []Merged
}

// Merged is a range of merged cells.
type Merged struct {
	Range   string
	LastRow int
	Span    text.Span
}

// Cell is one cell.
type Cell struct {
	Text string
	Span text.Span
	// Number is true for one that the file keeps as a number: its decimal sign is a point.
	Number bool
	// Fault says what is wrong with the cell itself; empty for nothing.
	Fault Fault
}

// Fault is what is wrong with a file or a cell, and what to do.
type Fault struct{ Wrong, Advice say.Text }

// Error returns what is wrong.
func (f *Fault) Error() string { return f.Wrong.String() }

// Bounds of what is read; a machine has some hundred rows.
const (
	mostRows    = 5_000
	mostColumns = 200
	mostBytes   = 64 << 20 // of an XLSX file, unpacked
	mostEntries = 1_000    // files in it
)

// Reads reports whether a file is one of those that are read, by its name.
func Reads(name string) bool {
	switch strings.ToLower(path.Ext(name)) {
	case ".csv", ".tsv", ".xlsx":
		return true
	}
	return false
}

// IsWorkbook reports whether a file is one of sheets and not of text, by its name.
func IsWorkbook(name string) bool { return strings.EqualFold(path.Ext(name), ".xlsx") }

// Read reads a file. The error is a *Fault; the book is there all the same, with nothing in it.
func Read(name string, content []byte) (*Book, error) {
	if IsWorkbook(name) {
		return readWorkbook(name, content)
	}
	return readText(name, content)
}

// readText reads CSV (RFC 4180) with commas, semicolons or tabs, as spreadsheets write it.
func readText(name string, content []byte) (*Book, error) {
	file := text.NewFile(name, content)
	book := &Book{File: file}
	if !utf8.Valid(content) {
		return book, &Fault{say.That("the file is not UTF-8 text"), say.That("Save it as CSV UTF-8, or as XLSX.")}
	}
	start := 0
	if strings.HasPrefix(string(content), "\uFEFF") {
		start = len("\uFEFF")
	}
	body := string(content[start:])
	comma := '\t'
	if !strings.EqualFold(path.Ext(name), ".tsv") {
		comma = separatorOf(body)
	}
	if first, rest, _ := strings.Cut(body, "\n"); strings.HasPrefix(first, "sep=") { // a line that spreadsheets understand
		start += len(body) - len(rest)
		body = rest
	}
	r := csv.NewReader(strings.NewReader(body))
	r.Comma, r.FieldsPerRecord, r.LazyQuotes = comma, -1, true
	// Lines of the reader count from where the body starts.
	first := file.LineOf(start)
	sheet := Sheet{Name: strings.TrimSuffix(path.Base(name), path.Ext(name))}
	for {
		fields, err := r.Read()
		if fields == nil || err != nil {
			break // the end; with lazy quotes there is no other error but a quotation mark that is not closed
		}
		if len(sheet.Rows) >= mostRows || len(fields) > mostColumns {
			return book, tooLarge()
		}
		row := make([]Cell, len(fields))
		for i, field := range fields {
			line, column := r.FieldPos(i)
			from, _ := file.LineBounds(first + line - 1)
			if line == 1 {
				from = start
			}
			row[i] = textCell(file, from+column-1, field)
		}
		sheet.Rows = append(sheet.Rows, row)
	}
	book.Sheets = []Sheet{sheet}
	return book, nil
}

// textCell is the cell whose field starts at an offset. Of one in quotation marks the place is what they hold.
func textCell(file *text.File, at int, field string) Cell {
	words := strings.Join(strings.Fields(field), " ")
	at = min(at, len(file.Source))
	if at < len(file.Source) && file.Source[at] == '"' {
		at++
	}
	end := min(at+len(field), len(file.Source))
	for at < end && (file.Source[at] == ' ' || file.Source[at] == '\t') {
		at++
	}
	for end > at && (file.Source[end-1] == ' ' || file.Source[end-1] == '\n' || file.Source[end-1] == '\r') {
		end--
	}
	for end > at && !utf8.RuneStart(file.Source[min(end, len(file.Source)-1)]) && end < len(file.Source) {
		end--
	}
	return Cell{Text: words, Span: file.Span(at, end)}
}

// separatorOf is the sign between the cells: what its first line says, or the one that it has most of.
func separatorOf(s string) rune {
	for line := range strings.SplitSeq(s, "\n") {
		if sign, said := strings.CutPrefix(strings.TrimRight(line, "\r"), "sep="); said && len(sign) == 1 {
			return rune(sign[0])
		}
		if strings.TrimSpace(line) == "" {
			continue
		}
		best, most := ',', 0
		for _, sign := range []rune{'\t', ';', ','} {
			if n := strings.Count(line, string(sign)); n > most {
				best, most = sign, n
			}
		}
		return best
	}
	return ','
}

func tooLarge() *Fault {
	return &Fault{say.That("the table is larger than any register: at most %rows rows of %columns cells are read", say.Count(mostRows), say.Count(mostColumns)),
		say.That("Keep what belongs into the register in a file of its own.")}
}

// AsFault returns the fault that an error of this package is; nil for none.
func AsFault(err error) *Fault {
	var f *Fault
	errors.As(err, &f)
	return f
}
