package spreadsheet

import (
	"archive/zip"
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"
	"gotest.tools/v3/assert"

	"matchmark/procedure/text"
)

// shown writes the cells of a book, with the place of each.
func shown(b *Book) string {
	var out []string
	for _, s := range b.Sheets {
		for _, row := range s.Rows {
			for _, c := range row {
				out = append(out, fmt.Sprintf("%s=%s", c.Span.At(), c.Text))
			}
		}
	}
	return strings.Join(out, " ")
}

func TestText(t *testing.T) {
	for name, c := range map[string]struct{ file, in, want string }{
		"comma":          {"a.csv", "no,name\n1,\"Bolt, long\"\n", "a.csv:1:1=no a.csv:1:4=name a.csv:2:1=1 a.csv:2:4=Bolt, long"},
		"semicolon":      {"a.csv", "no;mass\r\n1;2,5 kg\r\n", "a.csv:1:1=no a.csv:1:4=mass a.csv:2:1=1 a.csv:2:3=2,5 kg"},
		"tab":            {"a.tsv", "no\tname\n1\tA, B; C\n", "a.tsv:1:1=no a.tsv:1:4=name a.tsv:2:1=1 a.tsv:2:3=A, B; C"},
		"mark":           {"a.csv", "\uFEFFno,name\n1,Ö\n", "a.csv:1:1=no a.csv:1:4=name a.csv:2:1=1 a.csv:2:3=Ö"},
		"separator said": {"a.csv", "sep=;\nno;a,b\n", "a.csv:2:1=no a.csv:2:4=a,b"},
		"lines in cells": {"a.csv", "a,\"two\nlines\"\nb,c\n", "a.csv:1:1=a a.csv:1:4=two lines a.csv:3:1=b a.csv:3:3=c"},
		"open quotation": {"a.csv", "a,\"b\n", "a.csv:1:1=a a.csv:1:4=b"},
		"empty":          {"a.csv", "", ""},
	} {
		book, err := Read(c.file, []byte(c.in))
		if err != nil || shown(book) != c.want {
			t.Errorf("%s: %s, %v; want %s", name, shown(book), err, c.want)
		}
	}
	if _, err := Read("a.csv", []byte("\xe4\xf6")); AsFault(err) == nil || AsFault(err).Advice.Empty() {
		t.Errorf("another encoding: %v", err)
	}
	if _, err := Read("a.csv", []byte(strings.Repeat("a,b\n", mostRows+1))); AsFault(err) == nil {
		t.Errorf("too many rows: %v", err)
	}
}

// workbook makes an XLSX file.
func workbook(t testing.TB, fill func(*excelize.File)) []byte {
	t.Helper()
	f := excelize.NewFile()
	fill(f)
	out, err := f.WriteToBuffer()
	assert.NilError(t, err)
	return out.Bytes()
}

func set(t testing.TB, f *excelize.File, cell string, value any) {
	t.Helper()
	assert.NilError(t, f.SetCellValue("Sheet1", cell, value))
}

func TestWorkbook(t *testing.T) {
	content := workbook(t, func(f *excelize.File) {
		set(t, f, "A1", "Bolts of the mixer")
		set(t, f, "A3", "No.")
		set(t, f, "B3", "Torque (N·m)")
		set(t, f, "A4", 1)
		set(t, f, "B4", 0.1+0.2)
		set(t, f, "AB4", "far")
		set(t, f, "A5", time.Date(2026, 3, 4, 0, 0, 0, 0, time.UTC))
		set(t, f, "B5", "3/4")
		assert.NilError(t, f.SetCellFormula("Sheet1", "C5", "1/0"))
		set(t, f, "A6", "both")
		assert.NilError(t, f.MergeCell("Sheet1", "A6", "A7"))
		f.NewSheet("Hidden")
		f.SetSheetVisible("Hidden", false)
		f.NewSheet("Other")
		f.SetCellValue("Other", "B2", "x")
	})
	book, err := Read("lists/m.xlsx", content)
	if err != nil || len(book.Sheets) != 2 || book.Sheets[1].Name != "Other" {
		t.Fatalf("%+v, %v", book.Sheets, err)
	}
	rows := book.Sheets[0].Rows
	for _, c := range []struct {
		row, column int
		text, at    string
	}{
		{0, 0, "Bolts of the mixer", "lists/m.xlsx:Sheet1!A1"}, {2, 1, "Torque (N·m)", "lists/m.xlsx:Sheet1!B3"},
		{3, 0, "1", "lists/m.xlsx:Sheet1!A4"}, {3, 1, "0.3", "lists/m.xlsx:Sheet1!B4"}, {3, 27, "far", "lists/m.xlsx:Sheet1!AB4"}, {4, 1, "3/4", "lists/m.xlsx:Sheet1!B5"},
	} {
		if got := rows[c.row][c.column]; got.Text != c.text || got.Span.At().String() != c.at || !got.Fault.Wrong.Empty() {
			t.Errorf("%s is %q at %s, %v", c.at, got.Text, got.Span.At(), got.Fault)
		}
	}
	if date := rows[4][0]; !strings.Contains(date.Fault.Wrong.String(), "a date") {
		t.Errorf("a date is %+v", date)
	}
	if m := book.Sheets[0].Merged; len(m) != 1 || m[0].Range != "A6:A7" || m[0].LastRow != 6 || m[0].Span.At().Cell != "Sheet1!A6" {
		t.Errorf("merged: %+v", m)
	}
	if at := book.Sheets[1].Rows[1][1].Span.At().String(); at != "lists/m.xlsx:Other!B2" {
		t.Errorf("in the second sheet: %s", at)
	}
}

// What a formula was worked out to is kept beside it, and that is what is read (ECMA-376, part 1, 18.3.1.40 and 18.3.1.96).
func TestFormulasAreTheirValues(t *testing.T) {
	content := packed(t, map[string]string{"xl/worksheets/sheet1.xml": `<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>` +
		`<row r="1"><c r="A1"><f>40+5</f><v>45</v></c><c r="B1" t="str"><f>"N"&amp;"m"</f><v>Nm</v></c><c r="C1" t="e"><f>1/0</f><v>#DIV/0!</v></c></row></sheetData></worksheet>`})
	book, err := Read("a.xlsx", content)
	assert.NilError(t, err)
	row := book.Sheets[0].Rows[0]
	if row[0].Text != "45" || row[1].Text != "Nm" || row[2].Fault.Wrong.Empty() {
		t.Errorf("%+v", row)
	}
}

// packed replaces parts of an empty workbook.
func packed(t testing.TB, parts map[string]string) []byte {
	t.Helper()
	empty := workbook(t, func(*excelize.File) {})
	in, err := zip.NewReader(bytes.NewReader(empty), int64(len(empty)))
	assert.NilError(t, err)
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for _, entry := range in.File {
		w, err := z.Create(entry.Name)
		assert.NilError(t, err)
		if part, other := parts[entry.Name]; other {
			w.Write([]byte(part))
			continue
		}
		r, err := entry.Open()
		assert.NilError(t, err)
		var b bytes.Buffer
		b.ReadFrom(r)
		r.Close()
		w.Write(b.Bytes())
	}
	assert.NilError(t, z.Close())
	return out.Bytes()
}

func TestBoundsOfAWorkbook(t *testing.T) {
	sheet := func(data string) []byte {
		return packed(t, map[string]string{"xl/worksheets/sheet1.xml": `<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>` + data + `</sheetData></worksheet>`})
	}
	for name, content := range map[string][]byte{
		"zip bomb":     sheet(`<row r="1"><c r="A1" t="str"><v>` + strings.Repeat("0", mostBytes) + `</v></c></row>`),
		"last column":  sheet(`<row r="1"><c r="XFD1"><v>1</v></c></row>`),
		"last row":     sheet(`<row r="1048576"><c r="A1048576"><v>1</v></c></row>`),
		"not a file":   []byte("PK\x03\x04"),
		"text":         []byte("no,name\n"),
		"nothing":      nil,
		"no workbook":  packed(t, map[string]string{"xl/workbook.xml": "<a"}),
		"broken sheet": sheet(`<row r="1"><c r="A1"`),
	} {
		start := time.Now()
		book, err := Read("a.xlsx", content)
		if fault := AsFault(err); name != "broken sheet" && (fault == nil || fault.Advice.Empty() || len(book.Sheets) > 0) {
			t.Errorf("%s: %v, %+v", name, err, book.Sheets)
		}
		if took := time.Since(start); took > 30*time.Second {
			t.Errorf("%s took %s", name, took)
		}
	}
}

func TestWriteAndReadBack(t *testing.T) {
	sheets := []Sheet{{Name: "Bolts", Rows: [][]Cell{{{Text: "no"}, {Text: "size"}}, {{Text: "1"}, {Text: "3/4"}}}}, {Name: "Parts", Rows: [][]Cell{{{Text: "id"}}}}}
	content, err := Write(sheets)
	assert.NilError(t, err)
	again, err := Write(sheets)
	if err != nil || !bytes.Equal(content, again) {
		t.Errorf("the same sheets give other bytes, %v", err)
	}
	book, err := Read("a.xlsx", content)
	if err != nil || shown(book) != "a.xlsx:Bolts!A1=no a.xlsx:Bolts!B1=size a.xlsx:Bolts!A2=1 a.xlsx:Bolts!B2=3/4 a.xlsx:Parts!A1=id" {
		t.Errorf("%s, %v", shown(book), err)
	}
}

// FuzzRead reads any bytes as each kind of file. Each cell stands where its place says, or nothing is read.
func FuzzRead(f *testing.F) {
	f.Add([]byte("no,name\n1,\"Bolt, long\"\n"))
	f.Add([]byte("sep=;\nno;mass\r\n1;2,5 kg\r\n"))
	f.Add([]byte("a\t\"b\n\"\"c"))
	f.Add(workbook(f, func(x *excelize.File) { set(f, x, "A1", "No."); set(f, x, "B2", 1.5) }))
	f.Fuzz(func(t *testing.T, content []byte) {
		for _, name := range []string{"a.csv", "a.tsv", "a.xlsx"} {
			book, err := Read(name, content)
			if err != nil {
				if fault := AsFault(err); fault == nil || fault.Wrong.Empty() || fault.Advice.Empty() {
					t.Fatalf("%s: %#v", name, err)
				}
				continue
			}
			for _, s := range book.Sheets {
				for _, row := range s.Rows {
					for _, c := range row {
						inside(t, c.Span)
					}
				}
			}
		}
	})
}

func inside(t *testing.T, s text.Span) {
	t.Helper()
	if s.Start < 0 || s.Start > s.End || s.End > len(s.File.Source) {
		t.Fatalf("the place %d to %d lies outside the file of %d bytes", s.Start, s.End, len(s.File.Source))
	}
}
