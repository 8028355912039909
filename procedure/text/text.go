// Package text holds source files and places in them. A place is a byte range
// from birth; line and column are worked out only when a message is made.
package text

import (
	"bytes"
	"sort"
	"strconv"
	"sync"
	"unicode/utf8"
)

// File is one source file of a library, as read from disk.
type File struct {
	// Name is the slash-separated path relative to the library, never absolute,
	// so that output does not depend on where the library lies.
	Name string
	// Source is the text that positions refer to: the file's bytes unchanged, or a spreadsheet written
	// out with a line for each row and tabs between the cells.
	Source []byte
	// Sheets are the sheets of a spreadsheet, in order; none for a file of text.
	Sheets []Sheet

	once  sync.Once
	lines []int // offset of the first byte of each line
}

// Sheet is where a sheet of a spreadsheet starts in the text that it is written out as.
type Sheet struct {
	Name string
	Line int
}

// NewFile returns a file with the given name and content.
func NewFile(name string, source []byte) *File {
	return &File{Name: name, Source: source}
}

// Span is a byte range in a file. End is exclusive. The zero Span points nowhere.
type Span struct {
	File       *File
	Start, End int
}

// Position is a place as a person counts it: line and column from 1.
// A column counts characters, and a tab is one character.
type Position struct {
	File   string
	Line   int
	Column int
	// Cell is the sheet and the cell in a spreadsheet, as Bolts!D7; empty in a file of text.
	Cell string
}

// String is the place as path:line:column, without what is not known.
func (p Position) String() string {
	out := p.File
	if p.Cell != "" {
		return out + ":" + p.Cell
	}
	if p.Line > 0 {
		out += ":" + strconv.Itoa(p.Line)
		if p.Column > 0 {
			out += ":" + strconv.Itoa(p.Column)
		}
	}
	return out
}

// Valid reports whether the span points into a file.
func (s Span) Valid() bool { return s.File != nil }

// At returns the place of the span's first character. A span that points nowhere gives the zero Position.
func (s Span) At() Position {
	if s.File == nil {
		return Position{}
	}
	return s.File.Position(s.Start)
}

// Text returns the source text that the span covers.
func (s Span) Text() string {
	if s.File == nil || s.Start < 0 || s.End > len(s.File.Source) || s.Start > s.End {
		return ""
	}
	return string(s.File.Source[s.Start:s.End])
}

// Sub returns the part of the span from start to end, both counted from the span's own start.
func (s Span) Sub(start, end int) Span {
	return Span{File: s.File, Start: s.Start + start, End: s.Start + end}
}

// Span returns the range from start to end, clamped to the file.
func (f *File) Span(start, end int) Span {
	start = min(max(start, 0), len(f.Source))
	end = min(max(end, start), len(f.Source))
	return Span{File: f, Start: start, End: end}
}

// Position turns a byte offset into line and column. A byte-order mark at the
// start of the file has no width; the two bytes of CRLF end one line.
func (f *File) Position(offset int) Position {
	offset = min(max(offset, 0), len(f.Source))
	line := f.LineOf(offset)
	start, _ := f.LineBounds(line)
	column := 1
	for i := start; i < offset; {
		r, size := utf8.DecodeRune(f.Source[i:])
		if !(r == '\uFEFF' && i == 0) {
			column++
		}
		i += size
	}
	return Position{File: f.Name, Line: line, Column: column, Cell: f.cell(line, offset)}
}

// cell names the cell that holds an offset in a line.
func (f *File) cell(line, offset int) string {
	sheet := sort.Search(len(f.Sheets), func(i int) bool { return f.Sheets[i].Line > line }) - 1
	if sheet < 0 {
		return ""
	}
	start, _ := f.LineBounds(line)
	name := ""
	for n := bytes.Count(f.Source[start:max(start, offset)], []byte("\t")) + 1; n > 0; n = (n - 1) / 26 {
		name = string(rune('A'+(n-1)%26)) + name
	}
	return f.Sheets[sheet].Name + "!" + name + strconv.Itoa(line-f.Sheets[sheet].Line+1)
}

// LineOf returns the number, from 1, of the line that holds the offset.
func (f *File) LineOf(offset int) int {
	f.index()
	return sort.SearchInts(f.lines, offset+1)
}

// LineCount returns how many lines the file has; an empty file has one.
func (f *File) LineCount() int {
	f.index()
	return len(f.lines)
}

// Line returns the span from its start to the end of its first line.
func (s Span) Line() Span {
	if !s.Valid() {
		return s
	}
	_, end := s.File.LineBounds(s.File.LineOf(s.Start))
	return s.File.Span(s.Start, max(s.Start, end))
}

// LineBounds returns the byte range of a line, from 1, without its line ending.
func (f *File) LineBounds(line int) (start, end int) {
	f.index()
	if line < 1 || line > len(f.lines) {
		return len(f.Source), len(f.Source)
	}
	start, end = f.lines[line-1], len(f.Source)
	if line < len(f.lines) {
		end = f.lines[line] - 1
	}
	if end > start && f.Source[end-1] == '\r' {
		end--
	}
	return start, end
}

func (f *File) index() {
	f.once.Do(func() {
		f.lines = make([]int, 1, 1+bytes.Count(f.Source, []byte("\n")))
		for at := 0; ; {
			i := bytes.IndexByte(f.Source[at:], '\n')
			if i < 0 {
				break
			}
			at += i + 1
			f.lines = append(f.lines, at)
		}
	})
}
