package site

import (
	"html/template"
	"strconv"
	"strings"

	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// machineView is a machine with its registers and figures.
type machineView struct {
	page.Shell
	Summary    string
	About      template.HTML
	Variants   variantChooser
	Procedures listView
	Figures    []*page.Figure
	// Again is what must be looked at again on a machine that is made from another one, called LikeTitle.
	LikeTitle string
	Again     []string
	Registers []registerView
}

// registerView is a register as a sortable table.
type registerView struct {
	ID      string
	Title   string
	Columns []columnView
	Rows    []registerRow
}

type columnView struct {
	Title string
	// Number is true for a column of figures, set to the right.
	Number bool
}

type registerRow struct {
	// ID is the row's anchor, Thing the thing that it is about.
	ID, Thing string
	Cells     []cellView
	// Variants are the ids of those that the row is for; empty for all.
	Variants string
}

// cellView is a cell with what it is sorted by: a number for quantities, else its own words.
type cellView struct {
	Text   string
	Sort   string
	Number bool
}

func (e *emitter) emitMachine(m *procedure.Machine) error {
	at := page.MachinePath(m)
	v := machineView{Shell: e.shell(at, m.Title), Summary: m.Summary, About: page.Markup(m.About)}
	v.Variants.Machine = m.ID
	for _, x := range m.Variants {
		v.Variants.Variants = append(v.Variants.Variants, variantName{x.ID, x.Name})
	}
	v.Body = "machine-page"
	v.Styles = []string{"site.css"}
	v.Scripts = []string{"sort.js"}
	if len(m.Variants) > 1 {
		v.Scripts = append(v.Scripts, "variant.js")
	}
	procedures := newListing(e.words.T("machine.procedures"), page.MachineFolder(m))
	for i, p := range e.lib.Procedures {
		if p.Removal == nil && p.Machine == m {
			entry := e.procedureEntry(p)
			entry.Note = "" // the page is about the machine
			procedures.add(newLine(rank{number: i}, entry))
		}
	}
	procedures.above = &page.Crumb{Title: m.Title, Link: at}
	var err error
	if v.Procedures, _, err = e.list(v.Shell, "procedures", procedures); err != nil {
		return err
	}
	for _, f := range m.Figures {
		fig, err := page.NewFigure(v.Shell, f, m, e.pictures)
		if err != nil {
			return err
		}
		v.Figures = append(v.Figures, fig)
	}
	if m.Like != nil {
		v.LikeTitle = m.Like.Title
		for _, a := range m.Differs().Again {
			v.Again = append(v.Again, e.again(m, a))
		}
	}
	r := registers{emitter: e, machine: m, shell: v.Shell}
	v.Registers = r.all()
	if err := e.emitParts(m, &r); err != nil {
		return err
	}
	return e.write(at, machinePage(v))
}

// again says what must be looked at again, and because of what.
func (e *emitter) again(m *procedure.Machine, a procedure.Again) string {
	called := func(id string) string {
		if m.Thing(id) == nil {
			return nameOf(m.Like, id) // it is not there any more
		}
		return nameOf(m, id)
	}
	var because []string
	for _, id := range a.Because {
		because = append(because, called(id))
	}
	name := a.Name
	if !a.Figure {
		name = called(a.ID)
	}
	return e.words.T("machine.again.because", name, strings.Join(because, ", "))
}

// thingAnchor is the id of a thing's row on the machine's page.
func thingAnchor(id string) string { return "thing-" + id }

// registers makes the tables of a machine.
type registers struct {
	*emitter
	machine *procedure.Machine
	shell   page.Shell
}

// table gathers the rows of one register and drops the columns that no row fills.
type table struct {
	titles []string
	rows   []registerRow
}

func (r *registers) all() []registerView {
	m := r.machine
	var out []registerView
	add := func(kind procedure.RegisterKind, t table) {
		if len(t.rows) == 0 {
			return
		}
		title := m.RegisterTitles[kind]
		if title == "" {
			title = r.words.T("register." + string(kind))
		}
		out = append(out, t.view(string(kind), title))
	}
	add(procedure.VariantRegister, r.variants())
	add(procedure.PartRegister, r.parts())
	add(procedure.FastenerRegister, r.fasteners())
	add(procedure.ConnectionRegister, r.connections())
	add(procedure.FluidRegister, r.fluids())
	add(procedure.SupportRegister, r.supports())
	add(procedure.ConditionRegister, r.conditions())
	add(procedure.SourceRegister, r.sources())
	add(procedure.ToolRegister, r.tools())
	return out
}

func (t table) view(id, title string) registerView {
	v := registerView{ID: id, Title: title, Rows: make([]registerRow, len(t.rows))}
	for i := range t.rows {
		v.Rows[i].ID, v.Rows[i].Variants = t.rows[i].ID, t.rows[i].Variants
	}
	for c, name := range t.titles {
		filled, number := false, true
		for _, row := range t.rows {
			if row.Cells[c].Text != "" {
				filled = true
				number = number && row.Cells[c].Number
			}
		}
		if !filled {
			continue
		}
		v.Columns = append(v.Columns, columnView{Title: name, Number: number})
		for i, row := range t.rows {
			cell := row.Cells[c]
			cell.Number = number
			v.Rows[i].Cells = append(v.Rows[i].Cells, cell)
		}
	}
	return v
}

// columns names the columns of a register; variants and note come last everywhere.
func (r *registers) columns(keys ...string) []string {
	var out []string
	for _, k := range append(keys, "variants", "note") {
		out = append(out, r.words.T("column."+k))
	}
	return out
}

// row closes a row with the cells that all registers have.
func (r *registers) row(x procedure.Row, cells ...cellView) registerRow {
	var variants, ids []string
	for _, ref := range x.Variants {
		ids = append(ids, ref.ID)
		name := ref.ID
		if v := r.machine.Variant(ref.ID); v != nil {
			name = v.Name
		}
		variants = append(variants, name)
	}
	cells = append(cells, words(strings.Join(variants, ", ")), words(x.Note))
	return registerRow{ID: thingAnchor(x.ID), Thing: x.ID, Cells: cells, Variants: strings.Join(ids, " ")}
}

func words(s string) cellView { return cellView{Text: s, Sort: s} }

func (r *registers) refs(refs []procedure.Ref) cellView { return words(namesOf(r.machine, refs)) }

func (r *registers) ref(ref procedure.Ref) cellView {
	if ref.ID == "" {
		return words("")
	}
	return words(nameOf(r.machine, ref.ID))
}

// quantity sorts by the value in the unit that all quantities of the column can be put in.
func (r *registers) quantity(q measure.Quantity) cellView {
	if q.IsZero() {
		return cellView{}
	}
	base := q.Dimension().Units()[0]
	return cellView{Text: r.shell.Quantity(q), Sort: strconv.FormatFloat(q.Float(base), 'g', -1, 64), Number: true}
}

func count(n int) cellView {
	if n == 0 {
		return cellView{}
	}
	s := strconv.Itoa(n)
	return cellView{Text: s, Sort: s, Number: true}
}

func (r *registers) yes(b bool) cellView {
	if !b {
		return words("")
	}
	return words(r.words.T("column.yes"))
}
