package source

import (
	"bytes"
	"slices"
	"strings"

	"github.com/yuin/goldmark/ast"
	extast "github.com/yuin/goldmark/extension/ast"

	"matchmark/procedure"
	"matchmark/procedure/grammar"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// The rows of a register come from tables, from cells pasted out of a spreadsheet, or from a file of
// their own. A line "Each: ..." above a table says what its rows have in common, and a list below it
// what single rows have besides:
//
//	Each: class 8.8; treatment dry
//
//	| no | name | kind |
//	|---|---|---|
//	| 17 | Right foot to gearbox | bolt |
//
//	- 17: sequence before the bolts to the rail
//
// What a row says itself counts more than what each has, and a later "Each:" more than one before it; a
// hyphen says that there is nothing.

// rowsOf puts together the rows of a register's block.
func (r *reader) rowsOf(b *block, form *RegisterForm) []row {
	out, from := r.linkedRows(b, form)
	l := lines{r: r, form: form, rows: out, linked: from}
	if pasted := r.pastedLines(b); pasted != nil {
		l.pasted(pasted)
	} else {
		l.nodes(b.node)
	}
	if l.tables == 0 && !from && b.node.ChildCount() == 0 {
		r.report("register-table", b.span, say.That("this register holds no table"), say.That("Write a heading row, a line of dashes and a row for each thing."))
	}
	for i := range l.rows {
		l.rows[i].complete()
	}
	r.need(l.rows, form)
	if l.tables > 1 && form.Kind == procedure.FastenerRegister {
		slices.SortStableFunc(l.rows, func(a, b row) int { return calloutNumber(a) - calloutNumber(b) })
	}
	return l.rows
}

// lines gathers what a register's block says.
type lines struct {
	r      *reader
	form   *RegisterForm
	rows   []row
	tables int
	// linked is true when the first rows come from another file.
	linked bool
	each   *row
}

// nodes reads the block's Markdown.
func (l *lines) nodes(f *fence) {
	for n := f.FirstChild(); n != nil; n = n.NextSibling() {
		switch n := n.(type) {
		case *extast.Table:
			l.add(l.r.table(n, l.form))
		case *ast.List:
			for item := n.FirstChild(); item != nil; item = item.NextSibling() {
				l.further(l.r.spanOf(item))
			}
		case *fence:
			l.r.openFence(n, "")
		default:
			if !l.r.silent(n) {
				l.other(l.r.spanOf(n))
			}
		}
	}
}

// add takes in the rows of one table.
func (l *lines) add(rows []row) {
	l.tables++
	for i := range rows {
		rows[i].each = l.each
	}
	l.rows = append(l.rows, rows...)
}

// other reads a line that is neither a table nor a list.
func (l *lines) other(span text.Span) {
	if first, rest, several := strings.Cut(span.Text(), "\n"); several && strings.Contains(first, "|") {
		second, _, _ := strings.Cut(rest, "\n")
		if !isDelimiter(second) {
			l.r.report("register-table", span.Sub(0, len(first)), say.That("this table has no line of dashes below its heading"),
				say.That("Write one there, with as many columns: %dashes", say.Word("|"+strings.Repeat("---|", max(len(tableCells(first)), 1)))))
			return
		}
	}
	if !startsWithEach(span.Text()) {
		l.r.report("register-table", span,
			say.That("a register holds tables, lists below them and lines that start with Each:"),
			say.That("Give the line of dashes as many columns as the heading; put other text outside the block."))
		return
	}
	each := l.r.each(span, l.form)
	if l.each != nil {
		for _, p := range l.each.cells {
			if each.find(p.column) == nil {
				each.cells = append(each.cells, p)
			}
		}
	}
	l.each = each
	if l.linked && l.tables == 0 {
		for i := range l.rows {
			l.rows[i].each = l.each
		}
	}
}

// pasted reads cells that were copied out of a spreadsheet: a line for each row, tabs between the cells.
func (l *lines) pasted(all []text.Span) {
	g := grid{r: l.r, form: l.form}
	headed := false
	var rows []row
	for _, line := range all {
		s := line.Text()
		switch {
		case blank(s):
		case strings.Contains(s, "\t"):
			cells := tabbed(line)
			if !headed {
				g.heading(cells)
				headed = true
			} else if w, ok := g.row(cells); ok {
				rows = append(rows, w)
			}
		case strings.HasPrefix(strings.TrimSpace(s), "- "):
			if rows != nil {
				l.add(rows)
				rows = nil
			}
			at := strings.Index(s, "- ")
			l.further(line.Sub(at+2, len(s)))
		default:
			l.other(line)
		}
	}
	if rows != nil {
		l.add(rows)
	}
}

// tabbed splits a line at its tabs.
func tabbed(line text.Span) (out []cell) {
	s := line.Text()
	for start := 0; start <= len(s); {
		end := len(s)
		if tab := strings.IndexByte(s[start:], '\t'); tab >= 0 {
			end = start + tab
		}
		from, to := trim(s, start, end)
		out = append(out, cell{text: s[from:to], span: line.Sub(from, to)})
		start = end + 1
	}
	return out
}

// pastedLines returns the lines of a block that holds pasted cells; nil for any other.
func (r *reader) pastedLines(b *block) (out []text.Span) {
	tabs := false
	start := b.node.infoEnd
	for first := true; start < len(r.src); first = false {
		end := len(r.src)
		if at := bytes.IndexByte(r.src[start:], '\n'); at >= 0 {
			end = start + at
		}
		line := bytes.TrimRight(r.src[start:end], "\r")
		words := bytes.TrimSpace(line)
		switch {
		case len(words) >= 3 && len(bytes.Trim(words, ":")) == 0 && !first, bytes.HasPrefix(words, []byte(":::")) && !first:
			start = len(r.src)
			continue
		case bytes.HasPrefix(words, []byte("|")):
			return nil
		case !first:
			out = append(out, r.segment(start, start+len(line)))
			tabs = tabs || bytes.Contains(words, []byte("\t"))
		}
		start = end + 1
	}
	if !tabs {
		return nil
	}
	return out
}

// calloutNumber is the number of a fastener's row; 0 when it has none.
func calloutNumber(w row) int {
	n := 0
	for _, c := range []byte(w.get("no").text) {
		if c < '0' || c > '9' || n > 999 {
			return 0
		}
		n = 10*n + int(c-'0')
	}
	return n
}

// complete gives a row what each row of its table has, and takes out the hyphens that stand for nothing.
func (w *row) complete() {
	if w.each != nil {
		for _, p := range w.each.cells {
			if w.find(p.column) == nil {
				p.shared = true
				w.cells = append(w.cells, p)
			}
		}
	}
	w.cells = slices.DeleteFunc(w.cells, func(p pair) bool { return isNothing(p.text) })
}

// need reports what rows must have and have not: once where all lack it.
func (r *reader) need(rows []row, form *RegisterForm) {
	for _, c := range form.Columns {
		if !c.Required {
			continue
		}
		var without []row
		for _, w := range rows {
			if w.find(c.Name) == nil && !w.lacking && !(c.Name == "id" && nameFrom(w.get("name").text) != "") {
				without = append(without, w)
			}
		}
		if len(without) > 0 && len(without) == len(rows) && !slices.ContainsFunc(rows, func(w row) bool { return w.headed(c.Name) }) {
			r.report("missing-column", without[0].head, say.That("the register %kind has no column %column", say.Quote(form.Kind), say.Quote(c.Name)),
				say.That("Add the column %column: %means.", say.Quote(c.Name), say.Word(c.Means)))
			continue
		}
		for _, w := range without {
			r.report("cell-value", w.span, say.That("this row has no %column", say.Quote(c.Name)), say.That("Fill in the column %column: %means.", say.Quote(c.Name), say.Word(c.Means)))
		}
	}
}

// isNothing reports whether a cell says that there is nothing: a hyphen or a dash.
func isNothing(s string) bool { return s == "-" || s == "–" || s == "—" || s == "−" }

const eachWord = "each"

// startsWithEach reports whether lines say what all rows of a table have.
func startsWithEach(s string) bool {
	head, _, found := strings.Cut(s, ":")
	return found && strings.EqualFold(strings.TrimSpace(head), eachWord)
}

// each reads "Each: COLUMN VALUE; COLUMN VALUE".
func (r *reader) each(lines text.Span, form *RegisterForm) *row {
	at := strings.IndexByte(lines.Text(), ':')
	w := row{span: lines}
	for _, p := range r.pairs(lines.Sub(at+1, lines.End-lines.Start), form) {
		if p.column == keyColumn(form) {
			r.report("cell-value", p.span, say.That("rows cannot have one %column in common", say.Quote(p.column)), say.That("Write it in each row."))
			continue
		}
		r.put(&w, p)
	}
	return &w
}

// further reads an item "KEYS: COLUMN VALUE; COLUMN VALUE" below a table, and gives the rows of those keys what it says.
func (l *lines) further(span text.Span) {
	r, form, rows := l.r, l.form, l.rows
	s := lineEnds.Replace(span.Text())
	colon := strings.IndexByte(s, ':') // no key has one
	if colon < 0 {
		r.report("register-table", span, say.That("this line does not say which row it goes on with"), say.That("Write the row's %key, a colon, and columns with their values: %form.", say.Quote(keyColumn(form)), say.Word(furtherForm(form))))
		return
	}
	pairs := r.pairs(span.Sub(colon+1, len(s)), form)
	for ref := range refsIn(s[:colon], span.Sub(0, colon)) {
		found := false
		for i := range rows {
			if keyOfRow(rows[i], form) != ref.ID {
				continue
			}
			found = true
			for _, p := range pairs {
				r.put(&rows[i], p)
			}
		}
		if !found {
			var keys []string
			for _, w := range rows {
				keys = append(keys, keyOfRow(w, form))
			}
			r.reportNear("undefined-name", ref.Span, say.That("no row above has the %key %name", say.Word(keyColumn(form)), say.Quote(ref.ID)), ref.ID, keys, say.That("Name a row of this register."))
		}
	}
}

func furtherForm(form *RegisterForm) string {
	if form.Kind == procedure.FastenerRegister {
		return "17: sequence crosswise; note stays in"
	}
	return "name: note what there is to say"
}

// keyColumn is the column that names a row.
func keyColumn(form *RegisterForm) string {
	if form.Kind == procedure.FastenerRegister {
		return "no"
	}
	return "id"
}

// keyOfRow is what names a row: what its key column says, or what its name makes.
func keyOfRow(w row, form *RegisterForm) string {
	if key := w.get(keyColumn(form)).text; key != "" || form.Kind == procedure.FastenerRegister {
		return key
	}
	return nameFrom(w.get("name").text)
}

// put gives a row a value that it does not have yet.
func (r *reader) put(w *row, p pair) {
	if first := w.find(p.column); first != nil {
		r.reportSee("repeated-column", p.span, say.That("this row has its %column already", say.Quote(p.column)), say.That("Keep one of them."), first.span, say.That("the first one"))
		return
	}
	w.cells = append(w.cells, p)
}

// pairs reads "COLUMN VALUE; COLUMN VALUE". A semicolon inside a value is written \;.
func (r *reader) pairs(span text.Span, form *RegisterForm) (out []pair) {
	s := lineEnds.Replace(span.Text())
	for start := 0; start <= len(s); {
		end := start
		for end < len(s) && !endsPiece(s, start, end) {
			end++
		}
		if from, to := trim(s, start, end); from < to {
			if p, ok := r.pair(s[from:to], span.Sub(from, to), form); ok {
				out = append(out, p)
			}
		}
		start = end + 1
	}
	if len(out) == 0 && blank(s) {
		r.report("cell-value", span, say.That("nothing stands behind the colon"), say.That("Write columns with their values: %form.", say.Word(furtherForm(form))))
	}
	return out
}

// endsPiece reports whether the semicolon between two pieces stands there: one that a hyphen or a digit follows is part of a value, as
// between places on the machine.
func endsPiece(s string, start, at int) bool {
	if s[at] != ';' || at > start && s[at-1] == '\\' {
		return false
	}
	next := strings.TrimLeft(s[at+1:], " \t")
	return next == "" || next[0] != '-' && next[0] != '+' && (next[0] < '0' || next[0] > '9')
}

func (r *reader) pair(s string, span text.Span, form *RegisterForm) (p pair, ok bool) {
	// The longest heading that the words start with: "single use", "no torque" are two words.
	for words := 2; words > 0; words-- {
		end := wordsEnd(s, words)
		if end < 0 {
			continue
		}
		heading := strings.TrimRight(s[:end], "=:")
		if words > 1 && !form.ofTwoWords(heading) {
			continue
		}
		column, unit, known := form.columnOf(heading)
		if !known || words > 1 && isNothing(heading[strings.LastIndexByte(heading, ' ')+1:]) {
			continue
		}
		from, to := trim(s, end, len(s))
		if from < to && s[from] == '=' {
			from, to = trim(s, from+1, to)
		}
		p = pair{column, cell{text: oneLine(strings.ReplaceAll(s[from:to], `\;`, ";")), span: span.Sub(from, to), unit: unit}}
		c, _ := form.Column(column)
		if p.text == "" && c.Type == grammar.Yes {
			p.text, p.span = "yes", span
		}
		if p.text == "" {
			r.report("cell-value", span, say.That("%column has no value here", say.Quote(column)), say.That("Write what it is, or take the word out."))
			return p, false
		}
		return p, true
	}
	end := max(wordsEnd(s, 1), 0)
	r.reportNear("unknown-column", span.Sub(0, end), say.That("%column is not a column of the register %kind", say.Quote(s[:end]), say.Quote(form.Kind)), s[:end], form.names(),
		say.That(`Start each piece with a column: %columns. A semicolon inside words is written \;.`, say.Each[say.Word](say.Commas, form.names())))
	return p, false
}

// wordsEnd is where the first so many words of a text end; -1 when it has fewer.
func wordsEnd(s string, words int) int {
	at := 0
	for range words {
		for at < len(s) && s[at] == ' ' {
			at++
		}
		if at == len(s) {
			return -1
		}
		for at < len(s) && s[at] != ' ' {
			at++
		}
	}
	return at
}
