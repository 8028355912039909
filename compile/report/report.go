// Package report holds pages that say what was worked out from results, in
// sentences and tables: as text for a terminal, as one self-contained page to
// read and print, and as a table for a spreadsheet.
package report

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/themes"
)

// Page is a report, in the words of the library's language.
type Page struct {
	// Title says what kind of report it is, Subject what it is about, Site is the library's title.
	Title, Subject, Site string
	// Summary says the whole in sentences.
	Summary  []string
	Sections []Section

	Words *themes.Words
	theme *themes.Theme
}

// Section is a part of a report: a table, with what there is to say about it.
type Section struct {
	// Heading may be empty; Lead says how to read the table.
	Heading, Lead string
	Columns       []Column
	// Rows have a cell for each column; the first names the row. A cell may be empty, to be filled in by hand.
	Rows [][]string
	// Own is true for a part that is handed out by itself: it begins a printed page.
	Own bool
}

// number reports whether a column holds figures.
func (s Section) number(column int) bool { return column < len(s.Columns) && s.Columns[column].Number }

// Column is the head of a column.
type Column struct {
	Name string
	// Number is true for figures, which stand at the right.
	Number bool
}

// New begins a report on a library. The error is about the theme, or a language without words.
func New(lib *procedure.Library) (*Page, error) {
	theme, err := themes.Load()
	if err != nil {
		return nil, fmt.Errorf("loading the theme: %w", err)
	}
	words, err := theme.Words(lib.Language)
	if err != nil {
		return nil, err
	}
	return &Page{Site: page.SiteTitle(lib, words), Words: words, theme: theme}, nil
}

// Columns makes heads of columns; the names that begin with # are figures.
func Columns(names ...string) []Column {
	var out []Column
	for _, n := range names {
		name, number := strings.CutPrefix(n, "#")
		out = append(out, Column{name, number})
	}
	return out
}

// HTML writes the report as a self-contained page.
func (p *Page) HTML(w io.Writer) error {
	styles, err := p.theme.Styles("result.css")
	if err != nil {
		return fmt.Errorf("report: %w", err)
	}
	return page.Render(w, reportPage(p, styles))
}

// Text writes the report for a terminal.
func (p *Page) Text(w io.Writer) error {
	var b bytes.Buffer
	fmt.Fprintln(&b, p.Subject)
	for _, s := range p.Summary {
		fmt.Fprintln(&b, s)
	}
	for _, s := range p.Sections {
		fmt.Fprintln(&b)
		if s.Heading != "" {
			fmt.Fprintln(&b, s.Heading)
		}
		if s.Lead != "" {
			fmt.Fprintln(&b, s.Lead)
		}
		table := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
		var heads []string
		for _, c := range s.Columns {
			heads = append(heads, c.Name)
		}
		for _, row := range append([][]string{heads}, s.Rows...) {
			fmt.Fprintf(table, "  %s\n", strings.Join(row, "\t"))
		}
		table.Flush() // to memory: nothing that could fail
	}
	_, err := w.Write(Trimmed(b.Bytes()))
	return err
}

// Trimmed takes the blanks off the ends of lines that a table leaves.
func Trimmed(text []byte) []byte {
	lines := bytes.Split(text, []byte("\n"))
	for i, l := range lines {
		lines[i] = bytes.TrimRight(l, " ")
	}
	return bytes.Join(lines, []byte("\n"))
}

// CSV writes a table by RFC 4180. Cells of text go through Cell.
func CSV(w io.Writer, rows [][]string) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	return out.WriteAll(rows)
}

// Cell is a cell of text. One that begins like a formula would be worked out by a spreadsheet, and whoever
// wrote the text need not be whoever opens the table: an apostrophe keeps it what it is.
// Source: OWASP, "CSV Injection" (from memory).
func Cell(s string) string {
	if strings.IndexAny(s, "=+-@\t\r\n") == 0 {
		return "'" + s
	}
	return s
}
