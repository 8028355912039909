package spreadsheet

import (
	"archive/zip"
	"bytes"
	"io"
	"regexp"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// readWorkbook reads an XLSX file (Office Open XML, ECMA-376).
func readWorkbook(name string, content []byte) (book *Book, err error) {
	book = &Book{File: text.NewFile(name, nil)}
	unreadable := &Fault{say.That("this is not a spreadsheet that can be read"), say.That("Open it in a spreadsheet program and save it as XLSX, without a password.")}
	if fault := bounded(content); fault != nil {
		return book, fault
	}
	defer func() {
		if recover() != nil { // a damaged file can break the library that reads it
			book, err = &Book{File: text.NewFile(name, nil)}, unreadable
		}
	}()
	f, openErr := excelize.OpenReader(bytes.NewReader(content), excelize.Options{UnzipSizeLimit: mostBytes, UnzipXMLSizeLimit: mostBytes})
	if openErr != nil {
		return book, unreadable
	}
	defer f.Close()
	w := writing{file: book.File}
	for _, sheet := range f.GetSheetList() {
		if visible, err := f.GetSheetVisible(sheet); err != nil || !visible {
			continue
		}
		s, fault := w.sheet(f, sheet)
		if fault != nil {
			return &Book{File: text.NewFile(name, nil)}, fault
		}
		book.Sheets = append(book.Sheets, s)
	}
	book.File.Source = w.out.Bytes()
	return book, nil
}

// bounded unpacks a file to nowhere and counts: what it says of its sizes may be wrong.
func bounded(content []byte) *Fault {
	z, err := zip.NewReader(bytes.NewReader(content), int64(len(content)))
	if err != nil {
		return &Fault{say.That("this is not a spreadsheet that can be read"), say.That("Open it in a spreadsheet program and save it as XLSX, without a password.")}
	}
	bomb := &Fault{say.That("unpacked, the file is larger than any register"), say.That("Keep what belongs into the register in a file of its own, without pictures.")}
	if len(z.File) > mostEntries {
		return bomb
	}
	left := int64(mostBytes)
	for _, entry := range z.File {
		in, err := entry.Open()
		if err != nil {
			return &Fault{say.That("this is not a spreadsheet that can be read"), say.That("Open it in a spreadsheet program and save it as XLSX, without a password.")}
		}
		n, _ := io.Copy(io.Discard, io.LimitReader(in, left+1))
		in.Close()
		if left -= n; left < 0 {
			return bomb
		}
	}
	return nil
}

// writing writes the rows of a workbook's sheets out as text, so that places can point into it.
type writing struct {
	file  *text.File
	out   bytes.Buffer
	lines int
}

func (w *writing) sheet(f *excelize.File, name string) (Sheet, *Fault) {
	s := Sheet{Name: name}
	w.file.Sheets = append(w.file.Sheets, text.Sheet{Name: name, Line: w.lines + 1})
	shown, err := rowsOf(f, name, false)
	if err != nil {
		return s, err
	}
	raw, err := rowsOf(f, name, true)
	if err != nil {
		return s, err
	}
	for i, cells := range shown {
		row := make([]Cell, len(cells))
		for j, seen := range cells {
			if j > 0 {
				w.out.WriteByte('\t')
			}
			kept := seen
			if i < len(raw) && j < len(raw[i]) {
				kept = raw[i][j]
			}
			row[j] = w.cell(seen, kept)
		}
		w.out.WriteByte('\n')
		w.lines++
		s.Rows = append(s.Rows, row)
	}
	merged, mergeErr := f.GetMergeCells(name, true)
	if mergeErr != nil {
		return s, nil
	}
	for _, m := range merged {
		column, row, err := excelize.CellNameToCoordinates(m.GetStartAxis())
		_, last, endErr := excelize.CellNameToCoordinates(m.GetEndAxis())
		if err != nil || endErr != nil || row < 1 || row > len(s.Rows) || column < 1 || column > len(s.Rows[row-1]) {
			continue // outside all that has words
		}
		s.Merged = append(s.Merged, Merged{m.GetStartAxis() + ":" + m.GetEndAxis(), last - 1, s.Rows[row-1][column-1].Span})
	}
	return s, nil
}

// rowsOf reads the rows of a sheet, as they are shown or as they are kept.
func rowsOf(f *excelize.File, sheet string, raw bool) (out [][]string, fault *Fault) {
	rows, err := f.Rows(sheet)
	if err != nil {
		return nil, &Fault{say.That("the sheet %sheet cannot be read", say.Quote(sheet)), say.That("Open it in a spreadsheet program and save it as XLSX, without a password.")}
	}
	defer rows.Close()
	for n := 0; rows.Next(); n++ {
		cells, err := rows.Columns(excelize.Options{RawCellValue: raw})
		if err != nil {
			return nil, &Fault{say.That("the sheet %sheet cannot be read", say.Quote(sheet)), say.That("Open it in a spreadsheet program and save it as XLSX, without a password.")}
		}
		for len(cells) > 0 && strings.TrimSpace(cells[len(cells)-1]) == "" {
			cells = cells[:len(cells)-1]
		}
		if len(cells) > mostColumns || n >= mostRows && (len(cells) > 0 || n > 40*mostRows) {
			return nil, tooLarge()
		}
		if n < mostRows {
			out = append(out, cells)
		}
	}
	for len(out) > 0 && len(out[len(out)-1]) == 0 {
		out = out[:len(out)-1]
	}
	return out, nil
}

var (
	plainNumber = regexp.MustCompile(`^-?[0-9][0-9,. ]*$`)
	asDate      = regexp.MustCompile(`^[0-9]{1,4}[-/.][0-9]{1,2}[-/.][0-9]{1,4}( .*)?$|^[0-9]{1,2}[-/ ](?i:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*([-/ ][0-9]{2,4})?$|^(?i:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*[-/ ][0-9]{2,4}$`)
	errorValue  = regexp.MustCompile(`^#(REF!|N/A|VALUE!|DIV/0!|NAME\?|NUM!|NULL!)$`)
)

// cell judges one cell by what is shown and what is kept, and writes it out.
func (w *writing) cell(shown, kept string) Cell {
	c := Cell{Text: strings.Join(strings.Fields(shown), " ")}
	number, err := strconv.ParseFloat(kept, 64)
	isNumber := err == nil && kept != ""
	switch {
	case errorValue.MatchString(c.Text):
		c.Fault = Fault{say.That("the formula in this cell has no value: %value", say.Quote(c.Text)), say.That("Put the formula right, or type the value.")}
	case isNumber && shown != kept && asDate.MatchString(c.Text):
		c.Fault = Fault{say.That("this cell holds a date, %date", say.Quote(c.Text)),
			say.That("If you typed a fraction or a range, such as 3/4 or 8-10, the program took it for a date: give the cell the format Text and type it again.")}
	case isNumber && plainNumber.MatchString(c.Text):
		// Fifteen digits are what a spreadsheet keeps; more are noise of its arithmetic.
		c.Text, c.Number = strconv.FormatFloat(rounded(number), 'f', -1, 64), true
	}
	start := w.out.Len()
	w.out.WriteString(c.Text)
	c.Span = text.Span{File: w.file, Start: start, End: w.out.Len()}
	return c
}

func rounded(x float64) float64 {
	y, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 15, 64), 64)
	if err != nil {
		return x
	}
	return y
}

// Write makes an XLSX file of sheets: a row of headings in bold that stays in view, each cell as text, so that no
// program takes 3/4 for a date. The same sheets give the same bytes.
func Write(sheets []Sheet) ([]byte, error) {
	f := excelize.NewFile()
	defer f.Close()
	bold, err := f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}, NumFmt: 49})
	if err != nil {
		return nil, err
	}
	plain, err := f.NewStyle(&excelize.Style{NumFmt: 49, Alignment: &excelize.Alignment{Vertical: "top", WrapText: true}}) // 49 is text (ECMA-376, 18.8.30)
	if err != nil {
		return nil, err
	}
	for i, s := range sheets {
		if i == 0 {
			err = f.SetSheetName("Sheet1", s.Name)
		} else {
			_, err = f.NewSheet(s.Name)
		}
		if err == nil {
			err = fill(f, s, bold, plain)
		}
		if err != nil {
			return nil, err
		}
	}
	out, err := f.WriteToBuffer()
	if err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

func fill(f *excelize.File, s Sheet, bold, plain int) error {
	widths := map[int]int{}
	for r, row := range s.Rows {
		for c, x := range row {
			at, err := excelize.CoordinatesToCellName(c+1, r+1)
			if err != nil {
				return err
			}
			if err := f.SetCellStr(s.Name, at, x.Text); err != nil {
				return err
			}
			style := plain
			if r == 0 {
				style = bold
			}
			if err := f.SetCellStyle(s.Name, at, at, style); err != nil {
				return err
			}
			widths[c] = max(widths[c], len([]rune(x.Text)))
		}
	}
	for c := range len(widths) {
		column, err := excelize.ColumnNumberToName(c + 1)
		if err != nil {
			return err
		}
		if err := f.SetColWidth(s.Name, column, column, float64(min(max(widths[c]+2, 6), 50))); err != nil {
			return err
		}
	}
	return f.SetPanes(s.Name, &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"})
}
