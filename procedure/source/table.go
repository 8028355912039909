package source

import (
	"slices"
	"strings"

	gast "github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension/ast"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/text"
)

// cell is one cell of a register's table.
type cell struct {
	text string
	span text.Span
}

// row is one row of a register: its cells by column.
type row struct {
	cells map[string]cell
	span  text.Span
}

// get returns the cell of a column; the empty cell, at the row's place, when the row has none.
func (w row) get(column string) cell {
	if c, ok := w.cells[column]; ok {
		return c
	}
	return cell{span: w.span}
}

// table reads a register's table: the heading is checked against the register's
// form, and every cell is kept or reported.
func (r *reader) table(t *ast.Table, form *RegisterForm) []row {
	var columns []string
	var rows []row
	for n := t.FirstChild(); n != nil; n = n.NextSibling() {
		if head, ok := n.(*ast.TableHeader); ok {
			columns = r.heading(head, form)
			continue
		}
		rows = append(rows, r.row(n, columns, form))
	}
	return rows
}

// heading returns the columns in order; a column that is not known or stands twice has the name "".
func (r *reader) heading(head *ast.TableHeader, form *RegisterForm) []string {
	var names, columns []string
	for _, c := range form.Columns {
		names = append(names, c.Name)
	}
	seen := map[string]cell{}
	last := text.Span{}
	for n := head.FirstChild(); n != nil; n = n.NextSibling() {
		if n.Lines().Len() == 0 && n.Pos() < 0 {
			r.report("register-table", last, "the line of dashes has more columns than the heading", "Give both as many columns.")
			break
		}
		c := r.cell(n)
		last = c.span
		_, known := form.Column(c.text)
		before, repeated := seen[c.text]
		switch {
		case c.text == "":
			r.report("unknown-column", c.span, "this column has no name", "Use one of: "+strings.Join(names, ", ")+".")
			columns = append(columns, "")
		case !known:
			r.report("unknown-column", c.span, quote(c.text)+" is not a column of the register "+quote(string(form.Kind)),
				diagnostic.Suggest(c.text, names, "Use one of: "+strings.Join(names, ", ")+"."))
			columns = append(columns, "")
		case repeated:
			r.reportSee("repeated-column", c.span, "the column "+quote(c.text)+" stands twice", "Put both into one column.",
				before.span, "the first one")
			columns = append(columns, "")
		default:
			seen[c.text] = c
			columns = append(columns, c.text)
		}
	}
	for _, c := range form.Columns {
		if _, there := seen[c.Name]; !there && c.Required {
			r.report("missing-column", last, "the register "+quote(string(form.Kind))+" has no column "+quote(c.Name),
				"Add the column "+quote(c.Name)+": "+c.Means+".")
		}
	}
	return columns
}

func (r *reader) row(n gast.Node, columns []string, form *RegisterForm) row {
	w := row{cells: map[string]cell{}}
	i := 0
	for c := n.FirstChild(); c != nil; c = c.NextSibling() {
		x := r.cell(c)
		if i == 0 {
			w.span = x.span
		}
		if i < len(columns) && columns[i] != "" && x.text != "" {
			w.cells[columns[i]] = x
		}
		i++
	}
	r.extraCell(n)
	for _, c := range form.Columns {
		if _, there := w.cells[c.Name]; c.Required && !there && slices.Contains(columns, c.Name) {
			r.report("cell-value", w.span, "this row has no "+quote(c.Name), "Fill in the column "+quote(c.Name)+": "+c.Means+".")
		}
	}
	return w
}

// extraCell reports what stands behind a row's last column: Markdown would drop it without a word.
func (r *reader) extraCell(row gast.Node) {
	cell := row.LastChild()
	if cell == nil || cell.Lines().Len() == 0 {
		return // The row is shorter than the heading.
	}
	last := r.cell(cell).span
	src := r.file.Source
	end := last.End
	for end < len(src) && src[end] != '\n' {
		end++
	}
	rest := string(src[last.End:end])
	from := strings.IndexByte(rest, '|')
	if from < 0 || strings.Trim(rest[from:], "| \t\r") == "" {
		return
	}
	start := last.End + from + 1
	stop := last.End + len(strings.TrimRight(rest, " \t\r"))
	r.report("extra-cell", r.file.Span(start, stop), "this row has more cells than the heading has columns",
		`Take the cell out, or add a column. A | inside a cell is written \|.`)
}

// cell returns the words of a cell, without the white space around them.
func (r *reader) cell(n gast.Node) cell {
	lines := n.Lines()
	if lines == nil || lines.Len() == 0 {
		pos := max(n.Pos(), 0)
		return cell{span: r.segment(pos, pos)}
	}
	seg := lines.At(0)
	start, end := trim(r.src, seg.Start, seg.Stop)
	return cell{
		text: strings.ReplaceAll(string(r.src[start:end]), `\|`, `|`),
		span: r.segment(start, end),
	}
}
