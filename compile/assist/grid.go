package assist

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"matchmark/procedure/grammar"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/source"
	"matchmark/procedure/text"
)

// Grid is a register as a grid of cells.
type Grid struct {
	// Kind and Title are the register's, such as parts.
	Kind, Title string
	// Columns are all that the register may have, in the order of the language page.
	Columns []Column
	// Rows are its cells, the headings first. A register without a table has the columns that it needs and no row.
	Rows [][]string
	// At is where the table stands, or where it is to stand.
	At text.Span

	form   *source.RegisterForm
	dashes []string // of the line below the headings
	reader *source.Reader
}

// Column is a column that a register may have.
type Column struct {
	Name, Means string
	Required    bool
	// Values are what a cell may say, where that is a list: names of the machine, or words.
	Values []Value
	// Several is true where a cell may have several of them, with commas.
	Several bool
}

// Value is one value and what it is.
type Value struct{ Word, Means string }

// Why a register is not shown as a grid.
var (
	ErrNoRegister = errors.New("there is no register here")
	ErrFromFile   = errors.New("the register's rows stand in another file")
)

// Grid is the register at a place. The error is ErrNoRegister or ErrFromFile, or one of Desk's.
func (d *Desk) Grid(file string, offset int) (g *Grid, err error) {
	var wrong error
	err = d.on(file, func(doc *document) {
		reader := source.NewReader().For(doc.opened.Language, nil)
		g, wrong = gridAt(doc, offset, reader)
		if wrong == nil {
			g.columns(doc, d.builder.Names())
		}
	})
	return g, errors.Join(err, wrong)
}

var fromOther = regexp.MustCompile(`\{[^}]*\bfrom=`)

func gridAt(doc *document, offset int, reader *source.Reader) (*Grid, error) {
	s := symbolAt(outline(doc.file), SymbolRegister, offset)
	if s == nil {
		return nil, ErrNoRegister
	}
	if fromOther.MatchString(s.Head.Text()) {
		return nil, ErrFromFile
	}
	_, kind, _ := strings.Cut(s.Detail, " ")
	kind, _, _ = strings.Cut(kind, " ")
	forms := source.RegisterForms()
	i := slices.IndexFunc(forms, func(f source.RegisterForm) bool { return string(f.Kind) == kind })
	if i < 0 {
		return nil, ErrNoRegister
	}
	g := &Grid{Kind: kind, Title: s.Name, form: &forms[i], reader: reader}
	g.read(doc.file, s)
	return g, nil
}

// symbolAt is the innermost symbol of a kind around a place; nil for none.
func symbolAt(all []Symbol, kind SymbolKind, offset int) *Symbol {
	for i := range all {
		s := &all[i]
		if inner := symbolAt(s.Below, kind, offset); inner != nil {
			return inner
		}
		if s.Kind == kind && s.At.Start <= offset && offset <= s.At.End {
			return s
		}
	}
	return nil
}

// read takes the cells from the register's table.
func (g *Grid) read(f *text.File, s *Symbol) {
	first, last := f.LineOf(s.Head.Start)+1, f.LineOf(s.At.End)
	line := func(n int) string {
		start, end := f.LineBounds(n)
		return string(f.Source[start:end])
	}
	for n := first; n < last; n++ {
		if source.IsTable(line(n), line(n+1)) {
			end := n + 2
			for end <= last && strings.Contains(line(end), "|") && !fenceLine.MatchString(line(end)) && !fenceClose.MatchString(line(end)) {
				end++
			}
			g.table(f, n, end)
			return
		}
	}
	// No table yet: it goes above the lines that say more of its rows, or to the end.
	at := first
	for at <= last && !fenceClose.MatchString(line(at)) && !strings.HasPrefix(strings.TrimSpace(line(at)), "- ") {
		at++
	}
	start := len(f.Source)
	if at <= f.LineCount() {
		start, _ = f.LineBounds(at)
	}
	g.At = f.Span(start, start)
	var heading []string
	for _, c := range g.form.Columns {
		if c.Required {
			heading = append(heading, c.Name)
		}
	}
	g.Rows = [][]string{heading}
}

// table takes the cells of the lines from begin to before end.
func (g *Grid) table(f *text.File, begin, end int) {
	start, _ := f.LineBounds(begin)
	_, stop := f.LineBounds(end - 1)
	g.At = f.Span(start, stop)
	for n := begin; n < end; n++ {
		a, b := f.LineBounds(n)
		cells := source.TableCells(string(f.Source[a:b]))
		if n == begin+1 {
			g.dashes = cells
			continue
		}
		for i := range cells {
			cells[i] = strings.ReplaceAll(cells[i], `\|`, "|")
		}
		g.Rows = append(g.Rows, cells)
	}
	for i, row := range g.Rows {
		for len(row) < len(g.Rows[0]) {
			row = append(row, "")
		}
		g.Rows[i] = row
	}
}

// columns says of each column what may stand in it.
func (g *Grid) columns(doc *document, ids source.IDs) {
	for i := range g.form.Columns {
		a := &g.form.Columns[i]
		c := &completion{document: doc, spot: spotAt(doc.file, g.At.Start), ids: ids}
		c.value(a, rowType[g.form.Kind], "")
		column := Column{Name: a.Name, Means: a.Means, Required: a.Required, Several: a.Type == grammar.Names}
		for _, o := range c.offers {
			column.Values = append(column.Values, Value{o.Label, o.Detail})
		}
		g.Columns = append(g.Columns, column)
	}
}

// Write writes other cells into the table, the headings first: the edit is empty where that changes nothing. Rows without a
// word are left out.
func (g *Grid) Write(rows [][]string) ([]rewrite.Edit, error) {
	if len(rows) == 0 || len(rows[0]) == 0 {
		return nil, errors.New("a table needs a row of headings")
	}
	width := len(rows[0])
	all := [][]string{cellsOf(rows[0], width), make([]string, width)}
	for i, heading := range rows[0] {
		if strings.TrimSpace(heading) == "" {
			return nil, fmt.Errorf("column %d has no heading", i+1)
		}
		if slices.Index(rows[0], heading) < i {
			return nil, fmt.Errorf("two columns have the heading %q", heading)
		}
		all[1][i] = g.dashesOf(heading)
	}
	for _, row := range rows[1:] {
		if len(row) > width {
			return nil, fmt.Errorf("a row has %d cells, the headings are %d", len(row), width)
		}
		if cells := cellsOf(row, width); strings.Join(cells, "") != "" {
			all = append(all, cells)
		}
	}
	words := strings.Join(g.reader.Table(g.form, all), "\n")
	switch {
	case g.At.Start == g.At.End:
		words += "\n"
		if g.At.Start > 0 && g.At.File.Source[g.At.Start-1] != '\n' {
			words = "\n" + words
		}
	case strings.ReplaceAll(g.At.Text(), "\r\n", "\n") == words:
		return nil, nil
	}
	return []rewrite.Edit{{Span: g.At, Text: words}}, nil
}

// dashesOf is what stood below a heading, which may align its column.
func (g *Grid) dashesOf(heading string) string {
	if i := slices.Index(g.Rows[0], heading); i >= 0 && i < len(g.dashes) {
		return g.dashes[i]
	}
	return "---"
}

// unsafe is what would end a cell or a row.
var unsafe = strings.NewReplacer("\r\n", " ", "\n", " ", "\r", " ", "\t", " ", `\|`, `\|`, "|", `\|`)

// cellsOf are the cells of a row as they are written, so many as the headings are.
func cellsOf(row []string, width int) []string {
	out := make([]string, width)
	for i, cell := range row {
		out[i] = strings.TrimSpace(unsafe.Replace(cell))
		if strings.HasSuffix(out[i], `\`) {
			out[i] += " " // it would hide the bar behind it
		}
	}
	return out
}

// Thing is a thing of the file's machine, to choose from.
type Thing struct {
	ID, Name string
	// Letter is what balloons show of a part.
	Letter string
	// Register is the list that it stands in, such as parts.
	Register string
}

// Things are the things of the machine that a file is about, in the order of its registers.
func (d *Desk) Things(file string) (out []Thing, err error) {
	err = d.on(file, func(doc *document) {
		m := scopeOf(doc).machine
		if m == nil {
			return
		}
		for _, t := range m.Things() {
			register, _ := t.Register()
			x := Thing{ID: t.Row.ID, Name: t.Row.Name, Register: string(register)}
			if t.Part != nil {
				x.Letter = t.Part.Letter
			}
			out = append(out, x)
		}
	})
	return out, err
}
