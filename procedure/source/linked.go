package source

import (
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strings"

	"github.com/yuin/goldmark/ast"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/grammar"
	"matchmark/procedure/say"
	"matchmark/procedure/spreadsheet"
	"matchmark/procedure/text"
)

// A register's rows may stand in another file: `::: register fasteners {from=lists/mixer.xlsx sheet=Bolts}`.
// The file is read each time that the machine is.

// linkedRows reads the rows of a register's linked file. linked is false when it has none.
func (r *reader) linkedRows(b *block, form *RegisterForm) (rows []row, linked bool) {
	v := b.get("from")
	if v == nil {
		for _, name := range []string{"sheet", "leave"} {
			if x := b.get(name); x != nil {
				r.report("linked-file", x.nameSpan, say.That("%name is about a linked file, and there is none", say.Quote(name)), say.That("Add {from=FILE}, or take it out."))
			}
		}
		return nil, false
	}
	name := path.Clean(v.text)
	markdown := isMarkdown(name)
	if !fs.ValidPath(name) || !markdown && !spreadsheet.Reads(name) {
		r.report("linked-file", v.span, say.That("%file cannot be the source of a register", say.Quote(v.text)),
			say.That("Name a file in the library, from its folder: a registers file (.md), or a table saved as .xlsx, .csv or .tsv."))
		return nil, true
	}
	if r.inLinked && markdown {
		r.report("linked-file", v.span, say.That("a registers file takes its rows from a table, and from no other registers file"), say.That("Name that file in the machine itself."))
		return nil, true
	}
	if r.load == nil {
		return nil, true // a file is looked at by itself, without its library
	}
	content, err := r.load(name)
	if err != nil {
		r.report("linked-file", v.span, say.That("%file cannot be read: %cause", say.Quote(v.text), say.Why(cause(err))), say.That("Put the file there, or correct the path, which counts from the library's folder."))
		return nil, true
	}
	if markdown {
		return r.registersRows(v, text.NewFile(name, content), form), true
	}
	book, err := spreadsheet.Read(name, content)
	r.sources = append(r.sources, book.File)
	if fault := spreadsheet.AsFault(err); fault != nil {
		r.report("linked-file", book.File.Span(0, 0), fault.Wrong, fault.Advice)
		return nil, true
	}
	if sheet := r.sheetOf(b, book, form); sheet != nil {
		return r.sheetRows(b, sheet, form), true
	}
	return nil, true
}

// registersRows reads the rows that a registers file has for a register.
func (r *reader) registersRows(v *value, file *text.File, form *RegisterForm) (out []row) {
	r.sources = append(r.sources, file)
	other := &reader{md: r.md, validate: r.validate, numbers: r.numbers, load: r.load, inLinked: true, log: r.log, file: file, used: map[string]bool{}}
	part := other.read(nil)
	if part.registers == nil {
		r.report("linked-file", v.span, say.That("%file is no registers file", say.Quote(v.text)), say.That("Start it with front matter: ---, kind: registers, title, ---."))
		return nil
	}
	r.sources = append(r.sources, other.sources...)
	rows, there := part.registers.rows[form.Kind]
	if !there {
		r.report("linked-file", v.span, say.That("%file has no register %kind", say.Quote(v.text), say.Quote(form.Kind)), say.That("Write it there, or name another file."))
	}
	return rows
}

// sheetOf chooses the sheet: the one that is named, that of the register's name or title, or the only one.
func (r *reader) sheetOf(b *block, book *spreadsheet.Book, form *RegisterForm) *spreadsheet.Sheet {
	v := b.get("sheet")
	var names []string
	for i := range book.Sheets {
		s := &book.Sheets[i]
		names = append(names, s.Name)
		if v != nil && strings.EqualFold(s.Name, v.text) {
			return s
		}
	}
	if v != nil {
		r.reportNear("linked-file", v.span, say.That("there is no sheet %sheet", say.Quote(v.text)), v.text, names, oneOf(names))
		return nil
	}
	for _, wanted := range []string{string(form.Kind), b.title} {
		if at := slices.IndexFunc(names, func(s string) bool { return strings.EqualFold(s, wanted) }); at >= 0 {
			return &book.Sheets[at]
		}
	}
	if len(book.Sheets) == 1 {
		return &book.Sheets[0]
	}
	from := b.get("from")
	r.report("linked-file", from.span, say.That("the file has %sheets sheets", say.Count(len(book.Sheets))), say.That("Name one: {sheet=...}. %names", oneOf(names)))
	return nil
}

// sheetRows reads a sheet: titles above the heading are passed over.
func (r *reader) sheetRows(b *block, sheet *spreadsheet.Sheet, form *RegisterForm) (out []row) {
	head := headingRow(sheet, form)
	if head < 0 {
		span := b.get("from").span
		if len(sheet.Rows) > 0 && len(sheet.Rows[0]) > 0 {
			span = sheet.Rows[0][0].Span
		}
		r.report("linked-file", span, say.That("no row here has the headings of the register %kind", say.Quote(form.Kind)), say.That("Write them above the columns: %names.", say.Each[say.Word](say.Commas, form.names())))
		return nil
	}
	for _, m := range sheet.Merged {
		if m.LastRow > head {
			r.report("linked-file", m.Span, say.That("the cells %range are merged: only the first of them holds the words", say.Name(m.Range)), say.That("Split them, and write the words into each row that they are for."))
		}
	}
	g := grid{r: r, form: form, linked: true}
	if v := b.get("leave"); v != nil {
		for ref := range strings.SplitSeq(v.text, ",") {
			g.leave = append(g.leave, strings.TrimSpace(ref))
		}
	}
	for i := head; i < len(sheet.Rows); i++ {
		cells := make([]cell, len(sheet.Rows[i]))
		for j, x := range sheet.Rows[i] {
			if i > head && !x.Fault.Wrong.Empty() && !g.passesOver(j) {
				r.report("linked-file", x.Span, x.Fault.Wrong, x.Fault.Advice)
				x.Text = ""
			}
			if x.Number && r.numbers.Comma {
				x.Text = strings.Replace(x.Text, ".", ",", 1)
			}
			cells[j] = cell{text: x.Text, span: x.Span}
		}
		if i == head {
			for len(cells) > 0 && cells[len(cells)-1].text == "" {
				cells = cells[:len(cells)-1]
			}
			g.heading(cells)
			continue
		}
		if w, ok := g.row(cells); ok {
			out = append(out, w)
		}
	}
	return out
}

// headingRow finds the row whose cells are headings of the register: most of them, and at least two, or its key alone.
func headingRow(sheet *spreadsheet.Sheet, form *RegisterForm) int {
	best, most := -1, 0
	for i, row := range sheet.Rows[:min(len(sheet.Rows), 30)] {
		known, filled, key := 0, 0, false
		for _, x := range row {
			if x.Text == "" {
				continue
			}
			filled++
			if column, _, ok := form.columnOf(x.Text); ok {
				known++
				key = key || column == keyColumn(form) || column == "name"
			}
		}
		if key && known > most && (known > 1 || filled == 1) {
			best, most = i, known
		}
	}
	return best
}

var linkedPath = regexp.MustCompile(`[\s{]from=("[^"]*"|[^\s}"]+)`)

// Links lists the files that a machine or registers file may take rows from, as they are written. It reads no grammar: a
// word of running text that looks like a link is listed too.
func Links(content []byte) (out []string) {
	for _, m := range linkedPath.FindAllSubmatch(content, -1) {
		if name := path.Clean(strings.Trim(string(m[1]), `"`)); fs.ValidPath(name) && (isMarkdown(name) || spreadsheet.Reads(name)) && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out
}

// Text is a file with its bytes as places point into them: those of a spreadsheet are written out.
func Text(name string, content []byte) *text.File {
	if !spreadsheet.IsWorkbook(name) {
		return text.NewFile(name, content)
	}
	book, _ := spreadsheet.Read(name, content) // what is wrong with it has a message of its own
	return book.File
}

// registersFile is a file of registers that machines take rows from.
type registersFile struct {
	file *text.File
	rows map[procedure.RegisterKind][]row
}

// registers reads a registers file. Its rows are read as those of a machine would be, so that its faults are told
// though no machine takes them.
func (r *reader) registers(m *frontMatter, doc ast.Node) *registersFile {
	var f registersFields
	r.decode(m, &f)
	out := &registersFile{file: r.file, rows: map[procedure.RegisterKind][]row{}}
	r.eachRegister(doc, grammar.InRegisters, func(b *block, form *RegisterForm) {
		rows := r.rowsOf(b, form)
		out.rows[form.Kind] = append(out.rows[form.Kind], rows...)
		r.fill(rows, form, &procedure.Machine{})
	}, func(n ast.Node) {
		r.report("register-table", r.spanOf(n), say.That("a registers file holds registers and nothing else"), say.That("Write it as a comment, <!-- ... -->, or into the machine."))
	}, func(*block) {})
	return out
}

// unusedRegisters reports the registers files that no machine takes rows from.
func (l *Library) unusedRegisters(log *diagnostic.Log) {
	used := map[string]bool{}
	for _, m := range l.Machines {
		for _, f := range m.Sources {
			used[f.Name] = true
		}
	}
	for _, x := range l.registers {
		if !used[x.file.Name] {
			log.Add(UnusedRegisters(x.file))
		}
	}
}

// UnusedRegisters reports a registers file that no machine takes rows from.
func UnusedRegisters(f *text.File) diagnostic.Diagnostic {
	return newDiagnostic("unused-file", f.Span(0, 0), say.That("no machine takes rows from this file"), say.That("Name it in a register, {from=%file}, or take it out.", say.Name(f.Name)))
}
