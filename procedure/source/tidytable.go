package source

import (
	"strings"
	"unicode/utf8"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/grammar"
	"matchmark/procedure/text"
)

// isDelimiter reports whether a line is the line of dashes below a table's heading.
func isDelimiter(line string) bool {
	s := strings.TrimSpace(line)
	return strings.Contains(s, "-") && strings.Contains(s, "|") && strings.Trim(s, "|-: \t") == ""
}

// table tidies the table whose heading stands in a line, and returns the line behind it.
func (t *tidying) table(i int) int {
	end := i + 2
	for end < len(t.lines) && strings.Contains(t.line(end), "|") && !strings.HasPrefix(strings.TrimSpace(t.line(end)), ":::") {
		end++
	}
	if end < len(t.lines) && strings.HasPrefix(strings.TrimSpace(t.line(end)), ":::") {
		// A plain Markdown viewer takes the line of colons for a row of the table otherwise.
		t.edits = append(t.edits, tidyEdit{t.lines[end][0], t.lines[end][0], "\n"})
	}
	if end < len(t.lines) && !blank(t.line(end)) && !strings.HasPrefix(strings.TrimSpace(t.line(end)), ":::") {
		return end // a row without a bar, or something else that begins there: by hand
	}
	var rows [][]string
	for n := i; n < end; n++ {
		line := t.line(n)
		if strings.Contains(line, "\t") || len(line)-len(strings.TrimLeft(line, " ")) > 3 {
			return end
		}
		rows = append(rows, tableCells(line))
	}
	width := len(rows[0])
	if len(rows[1]) != width {
		return end
	}
	for n, row := range rows {
		if len(row) > width {
			return end // what Markdown would drop is reported
		}
		for len(row) < width {
			row = append(row, "")
		}
		rows[n] = row
	}
	t.columns(rows)
	t.put(t.lines[i][0], t.lines[end-1][1], strings.Join(tableLines(rows), "\n"))
	return end
}

// columns gives a register's columns their own names, and quantities their units' symbols.
func (t *tidying) columns(rows [][]string) {
	if t.form == nil {
		return
	}
	for c, heading := range rows[0] {
		name, unit, known := t.form.columnOf(heading)
		if !known || unit != "" {
			continue
		}
		rows[0][c] = name
		if column, _ := t.form.Column(name); column.Type == grammar.Amount {
			for _, row := range rows[2:] {
				row[c] = t.r.numbers.Tidy(row[c])
			}
		}
	}
}

// tableCells splits a line of a table at its bars.
func tableCells(line string) (out []string) {
	s := strings.TrimSpace(line)
	s = strings.TrimPrefix(s, "|")
	start := 0
	for at := 0; at < len(s); at++ {
		switch s[at] {
		case '\\':
			at++
		case '|':
			out = append(out, strings.TrimSpace(s[start:at]))
			start = at + 1
		}
	}
	if rest := strings.TrimSpace(s[start:]); rest != "" {
		out = append(out, rest)
	}
	return out
}

// Tables are lined up where no line gets longer than this, and padding takes at most a quarter more characters.
const widestTable = 100

// tableLines writes a table: heading, dashes, rows. The last column is never padded.
func tableLines(rows [][]string) []string {
	widths := make([]int, len(rows[0]))
	for n, row := range rows {
		for c, cell := range row {
			if n != 1 && c < len(row)-1 {
				widths[c] = max(widths[c], utf8.RuneCountInString(cell), 1)
			}
		}
	}
	plain, size, _ := tableWith(rows, make([]int, len(widths)))
	lined, linedSize, widest := tableWith(rows, widths)
	if widest <= widestTable && 4*linedSize <= 5*size {
		return lined
	}
	return plain
}

func tableWith(rows [][]string, widths []int) (lines []string, size, widest int) {
	for n, row := range rows {
		var b strings.Builder
		b.WriteByte('|')
		for c, cell := range row {
			if n == 1 {
				b.WriteString(dashes(cell, max(widths[c]+2, 3)))
			} else {
				if cell != "" || widths[c] > 0 {
					b.WriteByte(' ')
				}
				b.WriteString(cell)
				b.WriteString(strings.Repeat(" ", max(widths[c]-utf8.RuneCountInString(cell), 0)+1))
			}
			b.WriteByte('|')
		}
		line := b.String()
		lines = append(lines, line)
		if n != 1 {
			size += utf8.RuneCountInString(line)
		}
		widest = max(widest, utf8.RuneCountInString(line))
	}
	return lines, size, widest
}

// dashes is one column of the line below the heading, with the colons that align it.
func dashes(cell string, width int) string {
	out := []byte(strings.Repeat("-", width))
	if strings.HasPrefix(cell, ":") {
		out[0] = ':'
	}
	if strings.HasSuffix(cell, ":") {
		out[width-1] = ':'
	}
	return string(out)
}

// pasted makes a table of cells that were pasted from a spreadsheet.
func (t *tidying) pasted(i int) int {
	end := i
	var rows [][]string
	for ; end < len(t.lines); end++ {
		line := t.line(end)
		if blank(line) {
			continue
		}
		if !strings.Contains(line, "\t") || strings.HasPrefix(strings.TrimSpace(line), ":::") {
			break
		}
		var row []string
		for cell := range strings.SplitSeq(line, "\t") {
			row = append(row, strings.ReplaceAll(strings.TrimSpace(cell), "|", `\|`))
		}
		for len(row) > 0 && len(rows) == 0 && row[len(row)-1] == "" {
			row = row[:len(row)-1]
		}
		if len(rows) == 1 {
			rows = append(rows, nil)
		}
		rows = append(rows, row)
	}
	for end > i && blank(t.line(end-1)) {
		end--
	}
	if len(rows) < 3 {
		return end
	}
	width := len(rows[0])
	rows[1] = make([]string, width)
	for n, row := range rows {
		for len(row) > width && row[len(row)-1] == "" {
			row = row[:len(row)-1]
		}
		if len(row) > width {
			return end
		}
		for len(row) < width {
			row = append(row, "")
		}
		rows[n] = row
	}
	t.columns(rows)
	t.put(t.lines[i][0], t.lines[end-1][1], strings.Join(tableLines(rows), "\n"))
	return end
}

// TableCells are the cells of a line of a table, as they are written there.
func TableCells(line string) []string { return tableCells(line) }

// IsTable reports whether a table begins with a line, by the line below it.
func IsTable(line, below string) bool { return strings.Contains(line, "|") && isDelimiter(below) }

// Table writes the table of a register in the form that Tidy gives it: the headings, the line of dashes, the rows. All have
// the same number of cells.
func (x *Reader) Table(form *RegisterForm, rows [][]string) []string {
	t := tidying{r: x.of(text.NewFile("", nil), &diagnostic.Log{}), form: form}
	t.columns(rows)
	return tableLines(rows)
}
