package source

import (
	"bytes"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/grammar"
	"matchmark/procedure/measure"
	"matchmark/procedure/spreadsheet"
	"matchmark/procedure/text"
)

// Sheets writes a machine's registers as the sheets of a spreadsheet, one for each register that has rows: what is
// read from them again is the same. All columns are there, so that they can be filled in.
func Sheets(m *procedure.Machine) (out []spreadsheet.Sheet) {
	for i := range registerForms {
		form := &registerForms[i]
		rows := typedRows(m, form)
		if len(rows) == 0 {
			continue
		}
		s := spreadsheet.Sheet{Name: string(form.Kind)}
		for _, line := range append([][]string{form.names()}, rows...) {
			var cells []spreadsheet.Cell
			for _, x := range line {
				cells = append(cells, spreadsheet.Cell{Text: x})
			}
			s.Rows = append(s.Rows, cells)
		}
		out = append(out, s)
	}
	return out
}

// typedRows are the rows of a register, each with a value for every column of its form.
func typedRows(m *procedure.Machine, form *RegisterForm) (out [][]string) {
	if form.Kind == procedure.VariantRegister {
		for _, v := range m.Variants {
			out = append(out, columnsOf(v, form))
		}
		return out
	}
	for _, t := range m.Things() {
		if kind, row := t.Register(); kind == form.Kind {
			out = append(out, columnsOf(row, form))
		}
	}
	return out
}

// columnsOf are the values of a row's fields in the order of the columns.
func columnsOf(row any, form *RegisterForm) []string {
	values := map[string]string{}
	procedure.EachField(row, func(f *procedure.Field, value any) { values[f.Word] = written(value) })
	if form.Kind == procedure.FastenerRegister {
		values["no"] = values["id"]
	}
	var out []string
	for _, c := range form.Columns {
		out = append(out, values[c.Name])
	}
	return out
}

// written is a field's value as an author writes it; empty for nothing.
func written(value any) string {
	switch v := value.(type) {
	case *string:
		return *v
	case *measure.Quantity:
		return strings.Replace(v.String(), "°", " deg", 1)
	case *[]measure.Quantity:
		var passes []string
		for i := range *v {
			passes = append(passes, written(&(*v)[i]))
		}
		return strings.Join(passes, ", ")
	case *bool:
		if *v {
			return "yes"
		}
		return ""
	case *procedure.Ref:
		return v.ID
	case *[]procedure.Ref:
		var names []string
		for _, ref := range *v {
			names = append(names, ref.ID)
		}
		return strings.Join(names, ", ")
	case *int:
		if *v == 0 {
			return ""
		}
		return strconv.Itoa(*v)
	case *float64:
		if *v == 0 {
			return ""
		}
		return strconv.FormatFloat(*v, 'f', -1, 64)
	}
	if s := reflect.ValueOf(value).Elem(); s.Kind() == reflect.String {
		return s.String() // a kind of fastener or of tool
	}
	panic(fmt.Sprintf("a column of the type %T cannot be written", value)) // a new type of field needs a case
}

// TakeOver writes a table of cells as a register in Markdown, once: from then on the author changes it there. Faults go
// to the log; the result is empty when there are any.
func (x *Reader) TakeOver(name string, content []byte, kind procedure.RegisterKind, sheet, leave string, log *diagnostic.Log) string {
	form := registerForm(kind)
	var b strings.Builder
	fmt.Fprintf(&b, "---\nkind: machine\nid: a\ntitle: A\n---\n::: register %s {from=%q", kind, name)
	if sheet != "" {
		fmt.Fprintf(&b, " sheet=%q", sheet)
	}
	if leave != "" {
		fmt.Fprintf(&b, " leave=%q", leave)
	}
	b.WriteString("}\n:::\n")
	alone := *x
	alone.load = func(string) ([]byte, error) { return content, nil }
	part := alone.Read(text.NewFile(name, []byte(b.String())), nil, log)
	if log.HasErrors() || part.machine == nil {
		return ""
	}
	return string(alone.asRegister(part.machine, form))
}

// asRegister writes the rows of a register in Markdown.
func (x *Reader) asRegister(m *procedure.Machine, form *RegisterForm) []byte {
	rows := typedRows(m, form)
	t := markdownRegister{form: form, rows: rows}
	for c := range form.Columns {
		t.sort(c)
	}
	t.narrow()
	return t.write()
}

// markdownRegister is a register on its way into Markdown: columns of its table, what all rows have, and what single
// rows have besides.
type markdownRegister struct {
	form                  *RegisterForm
	rows                  [][]string
	columns, each, beside []int
}

// sort says where a column goes: to nobody when it is empty, to all rows when they say the same.
func (t *markdownRegister) sort(c int) {
	same, filled := true, 0
	for _, row := range t.rows {
		same = same && row[c] == t.rows[0][c]
		if row[c] != "" && !(t.form.Columns[c].Name == "count" && row[c] == "1") {
			filled++
		}
	}
	name := t.form.Columns[c].Name
	switch {
	case filled == 0:
	case same && len(t.rows) > 2 && name != keyColumn(t.form) && name != "name":
		t.each = append(t.each, c)
	default:
		t.columns = append(t.columns, c)
	}
}

// narrow takes columns out of the table until no line is too long: those first that few rows have, for their length.
func (t *markdownRegister) narrow() {
	for {
		_, _, widest := tableWith(t.table(), make([]int, len(t.columns)))
		if widest <= widestTable || len(t.columns) < 3 {
			return
		}
		worst, most := -1, -1
		for at, c := range t.columns[2:] {
			longest, filled := 0, 1
			for _, row := range t.rows {
				longest = max(longest, utf8.RuneCountInString(row[c]))
				if row[c] != "" {
					filled++
				}
			}
			if weight := longest * 1000 / filled; weight > most && !t.form.Columns[c].Required {
				worst, most = at+2, weight
			}
		}
		if worst < 0 {
			return
		}
		t.beside = append(t.beside, t.columns[worst])
		t.columns = slices.Delete(t.columns, worst, worst+1)
	}
}

func (t *markdownRegister) table() [][]string {
	lines := make([][]string, len(t.rows)+2)
	for _, c := range t.columns {
		lines[0] = append(lines[0], t.form.Columns[c].Name)
		lines[1] = append(lines[1], "")
		for n, row := range t.rows {
			lines[n+2] = append(lines[n+2], strings.ReplaceAll(row[c], "|", `\|`))
		}
	}
	return lines
}

func (t *markdownRegister) write() []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "::: register %s\n", t.form.Kind)
	said := func(row []string, columns []int) string {
		var out []string
		for _, c := range columns {
			name := t.form.Columns[c].Name
			switch {
			case row[c] == "":
			case t.form.Columns[c].Type == grammar.Yes:
				out = append(out, name)
			default:
				out = append(out, name+" "+strings.ReplaceAll(row[c], ";", `\;`))
			}
		}
		return strings.Join(out, "; ")
	}
	if len(t.each) > 0 {
		fmt.Fprintf(&b, "Each: %s\n\n", said(t.rows[0], t.each))
	}
	for _, line := range tableLines(t.table()) {
		b.WriteString(line + "\n")
	}
	slices.Sort(t.beside)
	first := true
	for _, row := range t.rows {
		if words := said(row, t.beside); words != "" {
			if first {
				b.WriteByte('\n')
				first = false
			}
			fmt.Fprintf(&b, "- %s: %s\n", row[0], words)
		}
	}
	if first {
		b.WriteByte('\n') // behind the table: see tidying.table
	}
	b.WriteString(":::\n")
	return b.Bytes()
}
