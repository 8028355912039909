package source

import (
	"regexp"
	"slices"
	"strings"

	gast "github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension/ast"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/grammar"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// cell is one cell of a register.
type cell struct {
	text string
	span text.Span
	// unit is that of the column's heading; empty for none.
	unit string
	// shared is true for what each row of the table has.
	shared bool
}

// row is one row of a register.
type row struct {
	cells []pair // each of another column
	span  text.Span
	// each is what all rows of its table have; nil for nothing.
	each *row
	// head is the last cell of the table's heading, and columns are those that it names.
	head    text.Span
	columns []column
	// lacking is true when the table lacks the column that names its rows, which is reported once.
	lacking bool
}

// get returns the cell of a column; the empty cell, at the row's place, when the row has none.
func (w *row) get(column string) cell {
	if p := w.find(column); p != nil {
		return p.cell
	}
	return cell{span: w.span}
}

// find returns the cell of a column; nil for none.
func (w *row) find(column string) *pair {
	for i := range w.cells {
		if w.cells[i].column == column {
			return &w.cells[i]
		}
	}
	return nil
}

// pair is one column with its value.
type pair struct {
	column string
	cell
}

// headed reports whether the row's table has a column.
func (w row) headed(name string) bool {
	return slices.ContainsFunc(w.columns, func(c column) bool { return c.name == name })
}

// column is one column of a table as its heading names it. Name is empty for one that is not known or stands twice.
type column struct{ name, unit string }

// table reads a register's table in Markdown: the heading is checked against the
// register's form, and every cell is kept or reported.
func (r *reader) table(t *ast.Table, form *RegisterForm) []row {
	g := grid{r: r, form: form}
	out := make([]row, 0, t.ChildCount())
	for n := t.FirstChild(); n != nil; n = n.NextSibling() {
		if head, ok := n.(*ast.TableHeader); ok {
			g.heading(r.headingCells(head))
			continue
		}
		cells := make([]cell, 0, len(g.columns))
		for c := n.FirstChild(); c != nil; c = c.NextSibling() {
			cells = append(cells, r.cell(c))
		}
		r.extraCell(n)
		g.shortRow(cells)
		if w, ok := g.row(cells); ok {
			out = append(out, w)
		}
	}
	return out
}

// headingCells are the cells of a table's heading.
func (r *reader) headingCells(head *ast.TableHeader) (out []cell) {
	last := text.Span{}
	for n := head.FirstChild(); n != nil; n = n.NextSibling() {
		if n.Lines().Len() == 0 && n.Pos() < 0 {
			r.report("register-table", last, say.That("the line of dashes has more columns than the heading"), say.That("Give both as many columns."))
			break
		}
		c := r.cell(n)
		out = append(out, c)
		last = c.span
	}
	return out
}

// grid reads a table of cells, wherever they come from.
type grid struct {
	r       *reader
	form    *RegisterForm
	columns []column
	head    []cell
	lacking bool
	linked  bool
	// leave are headings of columns that are left out.
	leave []string
}

// heading reads the heading row.
func (g *grid) heading(cells []cell) {
	r, names := g.r, g.form.names()
	g.head = cells
	seen := map[string]cell{}
	last := text.Span{}
	for _, c := range cells {
		last = c.span
		name, unit, known := g.form.columnOf(c.text)
		before, repeated := seen[name]
		switch {
		case g.left(c.text):
			g.columns = append(g.columns, column{})
		case c.text == "":
			r.report("unknown-column", c.span, say.That("this column has no name"), oneOf(names))
			g.columns = append(g.columns, column{})
		case !known:
			otherwise := oneOf(names)
			if g.linked {
				otherwise = say.That(`Use one of: %words. Or leave it out: {leave="%column"}.`, say.Each[say.Word](say.Commas, names), say.Name(c.text))
			}
			r.reportNear("unknown-column", c.span, say.That("%column is not a column of the register %kind", say.Quote(c.text), say.Quote(g.form.Kind)), c.text, names, otherwise)
			g.columns = append(g.columns, column{name: diagnostic.Nearest(c.text, names)}) // what was likely meant is read on
		case repeated:
			r.reportSee("repeated-column", c.span, say.That("the column %column stands twice", say.Quote(name)), say.That("Put both into one column."),
				before.span, say.That("the first one"))
			g.columns = append(g.columns, column{})
		default:
			seen[name] = c
			g.columns = append(g.columns, column{name, unit})
		}
	}
	g.need(last)
}

// passesOver reports whether nothing is read from a column.
func (g *grid) passesOver(i int) bool { return i >= len(g.columns) || g.columns[i].name == "" }

// shortRow reports a row of Markdown in which a bar is missing: it ends where a quantity should stand, and has one at the
// end of its last words. Other rows may end before the heading does.
func (g *grid) shortRow(cells []cell) {
	at := len(cells)
	for at > 0 && cells[at-1].text == "" {
		at--
	}
	if at == 0 || at >= len(g.columns) {
		return
	}
	if c, _ := g.form.Column(g.columns[at].name); c.Type != grammar.Amount {
		return
	}
	last := cells[at-1]
	words := strings.Fields(last.text)
	for n := 1; n <= 2 && n < len(words); n++ {
		tail := strings.Join(words[len(words)-n:], " ")
		if _, err := g.r.numbers.Parse(tail); err == nil {
			g.r.report("short-row", last.span, say.That("the %column seems to stand in the column before it", say.Quote(g.columns[at].name)),
				say.That("Write a bar before %words.", say.Quote(tail)))
			return
		}
	}
}

// left reports whether a column is left out on purpose.
func (g *grid) left(heading string) bool {
	return slices.ContainsFunc(g.leave, func(s string) bool { return plainHeading(s) == plainHeading(heading) })
}

func (g *grid) has(name string) bool {
	return slices.ContainsFunc(g.columns, func(c column) bool { return c.name == name })
}

// need reports the column that names the rows when it is not there. Other required values may come from
// elsewhere: from what each row has, or from below the table.
func (g *grid) need(last text.Span) {
	key := "name"
	if g.form.Kind == procedure.FastenerRegister {
		key = "no"
	}
	if g.has(key) || g.has(keyColumn(g.form)) {
		return
	}
	c, _ := g.form.Column(key)
	unnamed := slices.IndexFunc(g.columns, func(c column) bool { return c.name == "" })
	if unnamed >= 0 && !slices.ContainsFunc(g.columns[unnamed+1:], func(c column) bool { return c.name == "" }) && len(g.leave) == 0 {
		g.columns[unnamed].name = key // the one that is not known is likely the one that is missing
		return
	}
	g.lacking = true
	g.r.report("missing-column", last, say.That("the register %kind has no column %column", say.Quote(g.form.Kind), say.Quote(c.Name)),
		say.That("Add the column %column: %means.", say.Quote(c.Name), say.Word(c.Means)))
}

// row reads one row. ok is false for one that says nothing: an empty one, the heading once more, a total.
func (g *grid) row(cells []cell) (w row, ok bool) {
	if g.idle(cells) {
		return w, false
	}
	w = row{cells: make([]pair, 0, len(cells)+4), columns: g.columns, lacking: g.lacking}
	if len(g.head) > 0 {
		w.head = g.head[len(g.head)-1].span
	}
	for i, x := range cells {
		if i == 0 {
			w.span = x.span
		}
		if i < len(g.columns) && g.columns[i].name != "" && x.text != "" && g.r.usableCell(&x) {
			x.unit = g.columns[i].unit
			if g.columns[i].name == "no" {
				x.text = strings.TrimSuffix(x.text, ".") // 1. as in a list
			}
			w.cells = append(w.cells, pair{g.columns[i].name, x})
		}
	}
	return w, true
}

// totals are the words that a row of sums starts with.
var totals = []string{"total", "totals", "grand total", "subtotal", "sum", "summe", "gesamt", "zwischensumme"}

// idle reports whether a row holds no thing.
func (g *grid) idle(cells []cell) bool {
	first, heading, key := "", true, ""
	for i, x := range cells {
		if x.text == "" {
			heading = heading && (i >= len(g.head) || g.head[i].text == "")
			continue
		}
		if first == "" {
			first = x.text
		}
		heading = heading && i < len(g.head) && x.text == g.head[i].text
		if i < len(g.columns) && g.columns[i].name == keyColumn(g.form) {
			key = x.text
		}
	}
	if first == "" || heading {
		return true
	}
	return (key == "" || key == first) && strings.IndexByte("tgszTGSZ*_", first[0]) >= 0 && slices.Contains(totals, plainHeading(first))
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
	r.report("extra-cell", r.file.Span(start, stop), say.That("this row has more cells than the heading has columns"),
		say.That("Take the cell out, or add a column. A | inside a cell is written \\|."))
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

var (
	// sheetError is what spreadsheets put into a cell that they cannot work out: #REF!, #N/A, #WERT!.
	sheetError = regexp.MustCompile(`^#[A-ZÄÖÜ][A-ZÄÖÜ0-9/_]*[!?]?$`)
	// sheetDate is what spreadsheets make of 8-10 and 5/16.
	sheetDate = regexp.MustCompile(`^\d{1,2}[-./ ]+(?:Jan|Feb|Mar|Mär|Mrz|Apr|May|Mai|Jun|Jul|Aug|Sep|Oct|Okt|Nov|Dec|Dez)[a-zä]*\.?$`)
	// cellTag is a tag of HTML.
	cellTag = regexp.MustCompile(`</?[a-zA-Z][a-zA-Z0-9]*(?: [^<>]*)?/?>`)
)

// usableCell reports what a spreadsheet leaves in a cell besides its value. The apostrophe that makes a text of a number is taken off.
func (r *reader) usableCell(x *cell) bool {
	c := x.text[0]
	if strings.IndexByte("#='*`", c) < 0 && !(isDigit(c) && strings.ContainsAny(x.text, "JFMASOND")) && strings.IndexByte(x.text, '<') < 0 {
		return true
	}
	for _, mark := range []string{"**", "*", "`"} {
		if n := len(mark); len(x.text) > 2*n && strings.HasPrefix(x.text, mark) && strings.HasSuffix(x.text, mark) && x.span.Text() == x.text {
			x.text, x.span = x.text[n:len(x.text)-n], x.span.Sub(n, len(x.text)-n)
		}
	}
	switch {
	case sheetError.MatchString(x.text):
		r.report("cell-value", x.span, say.That("%value is an error of the spreadsheet", say.Quote(x.text)), say.That("Mend the formula there, or write the value into this cell."))
		return false
	case x.text[0] == '=' && len(x.text) > 1:
		r.report("cell-value", x.span, say.That("%value is a formula, and nothing is worked out here", say.Quote(x.text)), say.That("Write the value that it gives."))
		return false
	case isDigit(c) && sheetDate.MatchString(x.text):
		r.report("cell-value", x.span, say.That("%value is a date: the spreadsheet made one of a range or a fraction", say.Quote(x.text)), say.That("Write the value that was meant, such as 8-10; in the spreadsheet, format the column as text first."))
		return false
	case x.text[0] == '\'' && len(x.text) > 1:
		x.text = x.text[1:]
	}
	if tag := cellTag.FindStringIndex(x.text); tag != nil {
		at := x.span
		if at.Text() == x.text {
			at = at.Sub(tag[0], tag[1])
		}
		r.report("raw-html", at, say.That("HTML is not passed through; it is shown as text"), say.That("Write the cell in one line, with a comma between several names."))
	}
	return true
}
