// Package csvtable opens tables that spreadsheets save as text.
package csvtable

import (
	"bytes"
	"encoding/csv"
)

// NewReader opens a table by RFC 4180 without a byte order mark, with lines of any length. Spreadsheets of many countries separate
// cells by semicolons, so that numbers may have a decimal comma: one whose first line has semicolons and no comma is read so, and
// Comma says which it is.
func NewReader(data []byte) *csv.Reader {
	out := csv.NewReader(bytes.NewReader(data))
	out.FieldsPerRecord = -1
	first, _, _ := bytes.Cut(data, []byte("\n"))
	if bytes.ContainsRune(first, ';') && !bytes.ContainsRune(first, ',') {
		out.Comma = ';'
	}
	return out
}
